// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace twinlamp::trace {

double medianOf(std::span<const double> values)
{
    std::vector<double> finite;
    finite.reserve(values.size());
    std::ranges::copy_if(
        values, std::back_inserter(finite), [](double v) { return std::isfinite(v); });
    if (finite.empty()) {
        return 0.0;
    }
    const auto middle = finite.begin() + static_cast<std::ptrdiff_t>(finite.size() / 2);
    std::ranges::nth_element(finite, middle);
    if (finite.size() % 2 == 1) {
        return *middle;
    }
    return 0.5 * (*middle + *std::max_element(finite.begin(), middle));
}

double frameNoise(std::span<const float> light)
{
    if (light.size() < 3) {
        return 0.0;
    }
    std::vector<double> differences;
    differences.reserve(light.size());
    for (std::size_t k = 1; k < light.size(); ++k) {
        differences.push_back(
            std::abs(static_cast<double>(light[k]) - static_cast<double>(light[k - 1])));
    }
    constexpr double normalConsistency = 1.4826;
    return normalConsistency * medianOf(differences) / std::sqrt(2.0);
}

} // namespace twinlamp::trace
