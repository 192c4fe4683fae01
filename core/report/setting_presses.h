// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"
#include "core/stats/summary.h"

#include <optional>
#include <string>
#include <vector>

namespace twinlamp::report {

/// Presses of one clip as they count, with what they were measured with.
struct ClipPresses
{
    std::size_t run = 0; ///< in SettingPresses::runs
    std::string file; ///< name without its folder
    std::vector<Press> presses;
    ClipFacts facts;
    measure::MeasureOptions options;
    session::RigId rig; ///< 0: none named
    std::string rigName;
};

/// Presses of one run, all of its clips one after another.
struct NamedRun
{
    std::string name;
    std::vector<Press> presses;
};

/// All that a link setting was measured with, taken out of its session.
struct SettingPresses
{
    std::string name;
    session::Conditions conditions;
    std::vector<NamedRun> runs; ///< in the session's order; those without a measured clip too
    std::vector<ClipPresses> clips; ///< measured ones
    int clipsOutOfDate = 0; ///< measured with other options than are asked for now
    int clipsNotMeasured = 0;

    /// Views that live as long as this is not changed.
    [[nodiscard]] std::vector<stats::RunPresses> runViews() const;
    [[nodiscard]] std::vector<stats::RunPresses> clipViews() const;
    /// Of the link camera: the setting's, else that of all its clips where they agree.
    [[nodiscard]] std::optional<FrameRate> linkFrameRate() const;
};

/// @pre the setting is in the session
[[nodiscard]] SettingPresses settingPresses(
    const session::Session& session, session::SettingId setting);

} // namespace twinlamp::report
