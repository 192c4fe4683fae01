// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/run_ranking.h"

#include "core/stats/compare/run_centres.h"
#include "core/stats/compare/several_settings.h"
#include "core/stats/moments.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace twinlamp::stats {

namespace {

/// Mean of the runs' centres; infinite where a run has none (more late than all others) or there is
/// no run at all.
double placeOf(const RunCentres& centres)
{
    constexpr double last = std::numeric_limits<double>::infinity();
    return centres.withoutCentre > 0 ? last : mean(centres.blocks.figures).value_or(last);
}

void adjust(std::vector<RankedPair>& pairs, double confidence)
{
    std::vector<double> pValues;
    for (const RankedPair& pair : pairs) {
        if (pair.shift.pValue) {
            pValues.push_back(*pair.shift.pValue);
        }
    }
    const std::vector<double> adjusted = holmAdjusted(pValues);
    auto next = adjusted.begin();
    for (RankedPair& pair : pairs) {
        if (pair.shift.pValue) {
            pair.adjustedPValue = *next++;
            pair.toldApart = *pair.adjustedPValue <= 1.0 - confidence
                && pair.shift.verdict != Verdict::SameWithin;
        }
    }
}

bool areToldApart(const std::vector<RankedPair>& pairs, std::size_t one, std::size_t other)
{
    return std::ranges::any_of(pairs, [one, other](const RankedPair& pair) {
        return pair.toldApart && std::min(one, other) == pair.first
            && std::max(one, other) == pair.second;
    });
}

} // namespace

JobResult<RunRanking> rankByRuns(std::span<const std::vector<RunLatencies>> settings,
    const RunComparisonOptions& options, const JobControl& control)
{
    RunRanking ranking;
    ranking.order.resize(settings.size());
    std::iota(ranking.order.begin(), ranking.order.end(), std::size_t {0});
    std::vector<double> places;
    std::vector<RunCentres> centres;
    for (const std::vector<RunLatencies>& setting : settings) {
        const double place = placeOf(centres.emplace_back(centresOf(setting, options.centre)));
        places.push_back(place);
        ranking.centresMs.push_back(std::isfinite(place) ? std::optional(place) : std::nullopt);
    }
    std::ranges::stable_sort(ranking.order, {}, [&places](std::size_t i) { return places[i]; });
    const auto pairs = static_cast<std::int64_t>(settings.size() * (settings.size() - 1) / 2);
    for (std::size_t first = 0; first < settings.size(); ++first) {
        for (std::size_t second = first + 1; second < settings.size(); ++second) {
            if (!control.tick(static_cast<std::int64_t>(ranking.pairs.size()), pairs)) {
                return Cancelled {};
            }
            RankedPair pair {first, second, {}, {}, false};
            pair.shift = compareCentres(centres[first], centres[second], options);
            ranking.pairs.push_back(std::move(pair));
        }
    }
    adjust(ranking.pairs, options.confidence);
    const auto isApart = [&ranking](std::size_t setting) {
        return areToldApart(ranking.pairs, ranking.order.front(), setting);
    };
    ranking.tiedWithFastest = static_cast<std::size_t>(
        std::ranges::find_if(ranking.order, isApart) - ranking.order.begin());
    return ranking;
}

} // namespace twinlamp::stats
