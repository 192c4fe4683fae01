// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/clustered_shares.h"

#include "core/base/contracts.h"
#include "core/stats/special_functions.h"

#include <algorithm>

namespace twinlamp::stats {

namespace {

/// Sums over the runs of one setting.
struct RunSums
{
    double runs = 0.0;
    double trials = 0.0;
    double share = 0.0;
    double between = 0.0; ///< squares of the runs' shares about the setting's, by presses
    double within = 0.0; ///< squares of the presses about their run's share
    double meanLength = 0.0; ///< of the run that a press is in
};

RunSums sumsOf(std::span<const Count> counts)
{
    RunSums sums;
    double hits = 0.0;
    for (const Count& count : counts) {
        const auto trials = static_cast<double>(count.trials);
        sums.runs += count.trials > 0 ? 1.0 : 0.0;
        sums.trials += trials;
        hits += static_cast<double>(count.hits);
        sums.meanLength += trials * trials;
    }
    sums.share = hits / sums.trials;
    sums.meanLength /= sums.trials;
    for (const Count& count : counts) {
        if (count.trials > 0) {
            const auto trials = static_cast<double>(count.trials);
            const double share = static_cast<double>(count.hits) / trials;
            sums.between += trials * (share - sums.share) * (share - sums.share);
            sums.within += trials * share * (1.0 - share);
        }
    }
    return sums;
}

/// Of both settings together, each about its own share; not below 0.
double correlationWithin(const RunSums& a, const RunSums& b)
{
    const double degreesBetween = a.runs + b.runs - 2.0;
    const double degreesWithin = a.trials + b.trials - a.runs - b.runs;
    if (degreesWithin <= 0.0) {
        return 0.0;
    }
    const double between = (a.between + b.between) / degreesBetween;
    const double within = (a.within + b.within) / degreesWithin;
    const double length = (a.trials - a.meanLength + b.trials - b.meanLength) / degreesBetween;
    const double all = between + (length - 1.0) * within;
    return all > 0.0 ? std::clamp((between - within) / all, 0.0, 1.0) : 0.0;
}

} // namespace

ClusteredDifference clusteredDifference(const TwoSettingCounts& settings, double confidence)
{
    TL_EXPECTS(confidence > 0.0 && confidence < 1.0);
    const RunSums a = sumsOf(settings.a);
    const RunSums b = sumsOf(settings.b);
    TL_EXPECTS(a.runs >= 2.0 && b.runs >= 2.0);
    ClusteredDifference found;
    found.withinRun = correlationWithin(a, b);
    const auto worth = [&found](const RunSums& sums) {
        return RealShare {
            sums.share, sums.trials / (1.0 + (sums.meanLength - 1.0) * found.withinRun)};
    };
    const double degrees = a.runs + b.runs - 2.0;
    const bool isClustered = found.withinRun > 0.0;
    const double share = 1.0 - (1.0 - confidence) / 2.0;
    found.difference = newcombeOf(
        worth(b), worth(a), isClustered ? studentQuantile(degrees, share) : normalQuantile(share));
    const double atZero = quantileAtZero(worth(b), worth(a));
    found.pValue = isClustered ? studentBeyond(degrees, atZero) : normalBeyond(atZero);
    return found;
}

} // namespace twinlamp::stats
