// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit.h"
#include "ui/models/tree_place.h"

#include <span>
#include <string>
#include <vector>

namespace twinlamp::ui {

/// Setting that a row belongs to; 0 where there is no such row.
[[nodiscard]] session::SettingId settingOf(const session::Session& session, TreePlace place);

/// Clips at a row and below it.
[[nodiscard]] std::vector<session::ClipId> clipsUnder(
    const session::Session& session, TreePlace place);

// Edits that a row of the session panel stands for.
// @error as the functions of core/session/edit.h

[[nodiscard]] Result<session::Edit> renaming(
    const session::Session& session, TreePlace place, const std::string& name);
/// With everything below it.
[[nodiscard]] Result<session::Edit> removal(const session::Session& session, TreePlace place);
/// Takes clips out, and the runs and settings that hold nothing any more and say nothing.
[[nodiscard]] Result<session::Edit> removalOfClips(
    const session::Session& session, std::span<const session::ClipId> clips);
/// A clip goes into a run (the last one of a setting, the one of another clip), a run into a
/// setting, a setting before another one.
[[nodiscard]] Result<session::Edit> moving(
    const session::Session& session, TreePlace moved, TreePlace onto);

} // namespace twinlamp::ui
