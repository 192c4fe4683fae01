// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit.h"

#include <filesystem>
#include <span>
#include <string>
#include <vector>

namespace twinlamp::ui {

/// Where dropped clips go.
struct FilingTarget
{
    session::SettingId setting; ///< 0: a new setting
    session::RunId run; ///< 0: new runs
    /// With new runs: one for each clip (the link was restarted in between), else one for all.
    bool runEach = true;
    std::string newSettingName;
};

/// What filing clips would do: one edit, and the entries it makes.
struct Filing
{
    session::Edit edit;
    session::SettingId setting;
    std::vector<session::ClipId> clips; ///< in the order of the files
};

/// One edit that files the clips, with the setting and runs that it needs. They join the rig of the
/// session's last clip, or its only rig where it holds no clip yet.
/// @error as session::addSetting, addRun, addClip
[[nodiscard]] Result<Filing> filingOf(const session::Session& session,
    const std::filesystem::path& sessionFile, std::span<const std::filesystem::path> clips,
    const FilingTarget& target);

/// "link setting 3", "run 2": the first such name that is free.
[[nodiscard]] std::string freeSettingName(const session::Session& session, const std::string& stem);
[[nodiscard]] std::string freeRunName(
    const session::Session& session, session::SettingId setting, const std::string& stem);

/// Clips whose measurement is missing or was made with other options than asked for now,
/// by the tester or through the rig's checks.
[[nodiscard]] std::vector<session::ClipId> clipsOutOfDate(const session::Session& session);

} // namespace twinlamp::ui
