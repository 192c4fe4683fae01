// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/stats/compare/run_comparison.h"

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace twinlamp::stats {

/// Two settings of a ranking, by their places in the list given.
struct RankedPair
{
    std::size_t first = 0; ///< comes before `second` in the list
    std::size_t second = 0;
    RunComparison shift; ///< second less first, as compareShift gives it
    /// The p-value of the shift, adjusted by Holm for all pairs compared; empty like the p-value.
    std::optional<double> adjustedPValue;
    /// Told apart with all pairs in view. The interval of the pair alone may already say so.
    bool toldApart = false;
    bool operator==(const RankedPair&) const = default;
};

struct RunRanking
{
    /// Places in the list given, fastest first, by the mean of the runs' centres. Settings without
    /// any centre come last.
    std::vector<std::size_t> order;
    /// Mean of the runs' centres of each setting in the list given, ms; empty where a run has none.
    std::vector<std::optional<double>> centresMs;
    std::vector<RankedPair> pairs;
    /// How many of the first in `order` cannot be told apart from the fastest, itself included;
    /// fewer than all only where a later setting is told apart.
    std::size_t tiedWithFastest = 0;
    bool operator==(const RunRanking&) const = default;
};

/// Ranks settings by latency with runs as the blocks: all pairs by compareShift, their p-values
/// adjusted by Holm, so that equal settings yield any false pair in no more than 1 - confidence of
/// campaigns.
/// Pairs with fewer than fewestRuns runs in a setting are undecided and enter no adjustment.
///
/// @param control  progress in pairs
/// @pre as compareShift
/// Cost:   pairs; the runs that would tell take most of it where they are worked out.
/// Tests:  tests/core/stats/compare/run_ranking_test.cpp
[[nodiscard]] JobResult<RunRanking> rankByRuns(std::span<const std::vector<RunLatencies>> settings,
    const RunComparisonOptions& options = {}, const JobControl& control = {});

} // namespace twinlamp::stats
