// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/run_centres.h"

#include "core/stats/moments.h"
#include "core/stats/quantile.h"

#include <algorithm>

namespace twinlamp::stats {

namespace {

std::optional<double> centreOf(const RunLatencies& run, Centre centre)
{
    if (centre == Centre::Mean) {
        return mean(run.latenciesMs);
    }
    std::vector<double> sorted = run.latenciesMs;
    std::ranges::sort(sorted);
    return quantileType7(OrderedSample {sorted, run.lost}, 0.5);
}

} // namespace

RunCentres centresOf(std::span<const RunLatencies> runs, Centre centre)
{
    RunCentres centres;
    double squares = 0.0;
    double degrees = 0.0;
    double sharesOfOne = 0.0;
    std::int64_t presses = 0;
    for (const RunLatencies& run : runs) {
        if (run.presses() == 0) {
            continue;
        }
        presses += run.presses();
        const auto at = centreOf(run, centre);
        if (!at) {
            ++centres.withoutCentre;
            continue;
        }
        centres.blocks.figures.push_back(*at);
        const auto n = static_cast<double>(run.latenciesMs.size());
        squares += sumOfSquaredDeviations(run.latenciesMs);
        degrees += n - 1.0;
        sharesOfOne += 1.0 / n;
    }
    const auto count = static_cast<double>(centres.blocks.figures.size());
    if (degrees > 0.0) {
        centres.blocks.withinVariance = squares / degrees * sharesOfOne / (count * count);
    }
    if (count > 0.0) {
        centres.blocks.pressesARun
            = static_cast<double>(presses) / (count + static_cast<double>(centres.withoutCentre));
    }
    return centres;
}

} // namespace twinlamp::stats
