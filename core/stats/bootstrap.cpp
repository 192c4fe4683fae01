// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/bootstrap.h"

#include "core/base/contracts.h"
#include "core/stats/moments.h"
#include "core/stats/quantile.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::stats {

BcaLevels bcaLevels(double bias, double acceleration, double confidence)
{
    TL_EXPECTS(confidence > 0.0 && confidence < 1.0);
    const auto level = [&](double z) {
        const double moved = bias + z;
        const double squeezed = 1.0 - acceleration * moved;
        // Past the pole the level would turn back; it has reached its end there.
        return squeezed > 0.0 ? 1.0 - normalAbove(bias + moved / squeezed)
            : moved > 0.0     ? 1.0
                              : 0.0;
    };
    const double z = normalQuantile(1.0 - (1.0 - confidence) / 2.0);
    return {level(-z), level(z)};
}

std::optional<double> bootstrapBias(std::span<const double> sortedReplicates, double estimate)
{
    const auto below = std::ranges::lower_bound(sortedReplicates, estimate);
    const auto above = std::upper_bound(below, sortedReplicates.end(), estimate);
    const double share = (static_cast<double>(below - sortedReplicates.begin())
                             + static_cast<double>(above - below) / 2.0)
        / static_cast<double>(sortedReplicates.size());
    if (!(share > 0.0 && share < 1.0)) {
        return std::nullopt;
    }
    return normalQuantile(share);
}

double jackknifeAcceleration(std::span<const std::vector<double>> leftOut)
{
    double cubes = 0.0;
    double squares = 0.0;
    for (const std::vector<double>& estimates : leftOut) {
        const auto n = static_cast<double>(estimates.size());
        const double weight = leftOut.size() == 1 ? 1.0 : (n - 1.0) / n;
        const double centre = mean(estimates).value_or(0.0);
        for (const double estimate : estimates) {
            const double d = weight * (centre - estimate);
            cubes += d * d * d;
            squares += d * d;
        }
    }
    return squares > 0.0 ? cubes / (6.0 * std::pow(squares, 1.5)) : 0.0;
}

Interval bcaInterval(std::vector<double> replicates, double estimate,
    std::span<const std::vector<double>> leftOut, double confidence)
{
    const auto finite = [](double value) { return std::isfinite(value); };
    if (!std::ranges::all_of(replicates, finite)) {
        return {};
    }
    std::ranges::sort(replicates);
    const auto bias = bootstrapBias(replicates, estimate);
    if (!bias) {
        return {};
    }
    const BcaLevels levels = bcaLevels(*bias, jackknifeAcceleration(leftOut), confidence);
    return {quantileType7(replicates, levels.low), quantileType7(replicates, levels.high)};
}

Interval percentileInterval(std::vector<double> replicates, double confidence)
{
    TL_EXPECTS(confidence > 0.0 && confidence < 1.0);
    std::ranges::sort(replicates);
    const double tail = (1.0 - confidence) / 2.0;
    return {quantileType7(replicates, tail), quantileType7(replicates, 1.0 - tail)};
}

} // namespace twinlamp::stats
