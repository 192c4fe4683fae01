// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/base/sentence.h"
#include "core/report/compared_setting.h"
#include "core/report/fair_test.h"
#include "core/session/session.h"
#include "core/stats/compare/kolmogorov_smirnov.h"
#include "core/stats/compare/rank_shift.h"
#include "core/stats/compare/run_superiority.h"
#include "core/stats/compare/settings_comparison.h"
#include "core/stats/compare/spread.h"

#include <optional>
#include <string>
#include <vector>

namespace twinlamp::report {

struct ComparisonOptions
{
    stats::Figure figure = stats::Figure::FirstLight;
    std::optional<Latency> lateLimit; ///< > 0; empty: the session's, and without one no late share
    std::optional<double> marginMs; ///< > 0; adds the verdict SameWithin
};

/// Figures as if presses were independent, which presses of one run are not: they stand beside and
/// decide nothing. Lost answers are left out, but for the late share. B less A, or B over A.
struct IndependentFigures
{
    std::optional<stats::Estimate> shift; ///< Hodges-Lehmann, ms
    std::optional<stats::MannWhitney> shiftTest;
    std::optional<stats::Superiority> superiority; ///< of B over A: chance that B takes longer
    std::optional<stats::Estimate> spread; ///< ratio
    std::optional<stats::VarianceTest> spreadTest; ///< Brown-Forsythe
    std::optional<stats::ShareDifference> late; ///< Newcombe
    std::optional<stats::KolmogorovSmirnov> distribution;
};

/// Everything that is said about two settings.
struct SettingComparison
{
    ComparedSetting a;
    ComparedSetting b;
    stats::Figure figure = stats::Figure::FirstLight;
    std::optional<Latency> lateLimit;
    std::optional<double> marginMs;
    stats::SettingsComparison byRuns;
    /// How large the shift is against the scatter: B over A, lost answers later than any. It has no
    /// verdict of its own.
    std::optional<stats::RunSuperiority> effect;
    IndependentFigures independent;
    FairTest fair;
    std::vector<Sentence> sentences; ///< in the order of reading; those of the fair test last
};

/// Two settings of a session.
struct SettingPair
{
    session::SettingId a;
    session::SettingId b;
};

/// Compares two settings with runs as the blocks. Seeded: the same session gives the same figures.
///
/// @param control  progress in steps
/// @pre both settings are in the session; limit and margin > 0
/// Cost:   a tenth of a second for some hundred presses, most of it bootstrap (compare_bench).
/// Tests:  tests/core/report/setting_comparison_test.cpp
[[nodiscard]] JobResult<SettingComparison> settingComparison(const session::Session& session,
    const SettingPair& settings, const ComparisonOptions& options, const JobControl& control = {});

} // namespace twinlamp::report
