// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/sentence.h"
#include "core/report/compared_setting.h"
#include "core/report/json_writer.h"
#include "core/session/session.h"
#include "core/stats/estimate.h"

#include <optional>
#include <string>
#include <vector>

/// All that is said about one link setting by itself.
namespace twinlamp::report {

/// Figures of one clip of a setting.
struct ClipAccount
{
    std::string file;
    std::string run;
    stats::Summary on;
    stats::Summary off;
    stats::Summary fullFrame; ///< of the `on` edges
    PanelTiming panel;
};

/// A figure of the panel over the runs: the mean of what the clips of a run show, then of the runs.
struct PanelOverRuns
{
    std::optional<stats::Estimate> newFrameHz;
    std::optional<stats::Estimate> refreshHz;
    std::optional<stats::Estimate> scanMs;
    std::optional<stats::Estimate> heldShare; ///< 0 to 1
};

struct SettingAccount
{
    ComparedSetting firstLight;
    ComparedSetting fullFrame;
    /// Mean of the runs' medians, ms, with a t interval over runs: holds also where clocks lock.
    std::optional<stats::Estimate> centreMs;
    std::optional<stats::Estimate> fullFrameCentreMs;
    PanelOverRuns panel;
    std::optional<Latency> lateLimit;
    std::vector<ClipAccount> clips; ///< measured ones, in the session's order
    int clipsNotMeasured = 0;
    int clipsDoubtful = 0; ///< whose regions were located with low confidence
    std::vector<Sentence> sentences;
};

/// @param lateLimit  empty: the session's
/// @pre the setting is in the session
/// Tests: tests/core/report/setting_account_test.cpp
[[nodiscard]] SettingAccount settingAccount(const session::Session& session,
    session::SettingId setting, std::optional<Latency> lateLimit = std::nullopt);

/// The JSON of `twinlamp session figures`.
[[nodiscard]] Json accountsJson(const std::vector<SettingAccount>& accounts);
/// One setting in full; several as a table, a line each, and their sentences.
[[nodiscard]] std::string accountsText(const std::vector<SettingAccount>& accounts);

} // namespace twinlamp::report
