// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/trend/phase_coverage.h"

#include "core/base/contracts.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

namespace twinlamp::stats {

std::optional<PhaseCoverage> phaseCoverage(std::span<const double> atMs, double frameMs)
{
    TL_EXPECTS(frameMs > 0.0);
    if (atMs.size() < 2) {
        return std::nullopt;
    }
    const double origin = *std::ranges::min_element(atMs);
    std::vector<double> phases;
    std::complex<double> sum;
    for (const double at : atMs) {
        const double turns = (at - origin) / frameMs;
        phases.push_back(turns - std::floor(turns));
        sum += std::polar(1.0, 2.0 * std::numbers::pi * phases.back());
    }
    const auto n = static_cast<double>(phases.size());
    PhaseCoverage coverage;
    coverage.resultant = std::abs(sum) / n;
    // exp(sqrt(1 + 4 n + 4 (n^2 - (n R)^2)) - (1 + 2 n)), good to a few parts in a thousand from 5
    // presses on.
    const double total = std::norm(sum);
    const double root = std::sqrt(std::max(0.0, 1.0 + 4.0 * n + 4.0 * (n * n - total)));
    coverage.pValue = std::min(1.0, std::exp(root - (1.0 + 2.0 * n)));
    std::ranges::sort(phases);
    coverage.largestGap = 1.0 - phases.back() + phases.front();
    for (std::size_t i = 0; i + 1 < phases.size(); ++i) {
        coverage.largestGap = std::max(coverage.largestGap, phases[i + 1] - phases[i]);
    }
    return coverage;
}

} // namespace twinlamp::stats
