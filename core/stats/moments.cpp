// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/moments.h"

#include <cmath>

namespace twinlamp::stats {

std::optional<double> mean(std::span<const double> values)
{
    if (values.empty()) {
        return std::nullopt;
    }
    const auto n = static_cast<double>(values.size());
    double sum = 0.0;
    for (const double value : values) {
        sum += value;
    }
    const double rough = sum / n;
    double rest = 0.0;
    for (const double value : values) {
        rest += value - rough;
    }
    return rough + rest / n;
}

double sumOfSquaredDeviations(std::span<const double> values)
{
    if (values.size() < 2) {
        return 0.0;
    }
    const double centre = *mean(values);
    double squares = 0.0;
    double rest = 0.0;
    for (const double value : values) {
        const double deviation = value - centre;
        squares += deviation * deviation;
        rest += deviation;
    }
    return squares - rest * rest / static_cast<double>(values.size());
}

std::optional<double> standardDeviation(std::span<const double> values)
{
    if (values.size() < 2) {
        return std::nullopt;
    }
    return std::sqrt(sumOfSquaredDeviations(values) / static_cast<double>(values.size() - 1));
}

} // namespace twinlamp::stats
