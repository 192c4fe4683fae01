// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/run_centres.h"

#include "core/base/contracts.h"
#include "core/stats/moments.h"
#include "core/stats/quantile.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>

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

std::optional<Estimate> meanOverRuns(std::span<const double> figures, double confidence)
{
    TL_EXPECTS(confidence > 0.0 && confidence < 1.0);
    const auto centre = mean(figures);
    if (!centre) {
        return std::nullopt;
    }
    Estimate estimate {*centre, {}};
    if (const auto sd = standardDeviation(figures)) {
        const auto n = static_cast<double>(figures.size());
        const double reach
            = studentQuantile(n - 1.0, 1.0 - (1.0 - confidence) / 2.0) * *sd / std::sqrt(n);
        estimate.interval = {*centre - reach, *centre + reach};
    }
    return estimate;
}

} // namespace twinlamp::stats
