// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/setting_account.h"
#include "core/report/setting_comparison.h"
#include "core/report/setting_ranking.h"
#include "ui/plots/chart_data.h"

#include <optional>
#include <vector>

namespace twinlamp::ui {

/// What is to be compared.
struct ComparisonQuestion
{
    report::SettingPair settings; ///< b 0: a alone
    report::ComparisonOptions options;
};

/// All that the Compare page shows, worked out from one state of the session.
struct ComparisonAnswer
{
    std::optional<report::SettingComparison> comparison; ///< of two settings
    std::optional<report::SettingAccount> alone; ///< of one
    std::optional<report::SettingRanking> ranking; ///< of three settings or more with presses
    ChartData chart;
};

/// @pre the settings are in the session and differ; b may be 0
[[nodiscard]] JobResult<ComparisonAnswer> answerTo(const session::Session& session,
    const ComparisonQuestion& question, const JobControl& control = {});

/// Latencies of a setting's `on` edges, run by run.
[[nodiscard]] ChartSeries chartSeries(
    const session::Session& session, session::SettingId setting, stats::Figure figure);

} // namespace twinlamp::ui
