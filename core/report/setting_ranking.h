// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/base/sentence.h"
#include "core/report/setting_comparison.h"
#include "core/stats/compare/run_ranking.h"
#include "core/stats/compare/several_settings.h"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace twinlamp::report {

/// One of the ranked settings. Figures of `on` edges.
struct RankedSetting
{
    std::string name;
    std::int64_t runs = 0; ///< that have a press which counts
    std::optional<double> centreMs; ///< mean of the runs' medians; empty where a run has none
    stats::Summary summary;
};

/// What is said about several settings at once.
struct SettingRanking
{
    std::vector<RankedSetting> settings; ///< in the order asked for
    stats::Figure figure = stats::Figure::FirstLight;
    stats::RunRanking byRuns; ///< places are those in `settings`
    /// As if presses were independent, lost answers left out: stands beside and decides nothing.
    std::optional<stats::KruskalWallis> independent;
    std::vector<Sentence> sentences;
};

/// Ranks settings by latency with runs as the blocks. Rigs that differ between any two of them
/// widen every interval by the largest doubt that this leaves.
///
/// @pre the settings are in the session, at least two, none twice; limit and margin > 0
/// @param control  progress in pairs
/// Cost:   200 settings of 100 000 presses below a second (compare_bench); the runs that would tell
///         are worked out for ten settings or fewer.
/// Tests:  tests/core/report/setting_ranking_test.cpp
[[nodiscard]] JobResult<SettingRanking> settingRanking(const session::Session& session,
    std::span<const session::SettingId> settings, const ComparisonOptions& options,
    const JobControl& control = {});

/// What stands for a pair with all pairs in view: Undecided unless it is told apart or the same.
[[nodiscard]] stats::Verdict verdictOf(const stats::RankedPair& pair);

} // namespace twinlamp::report
