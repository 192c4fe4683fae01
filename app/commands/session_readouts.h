// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/session_command.h"
#include "core/report/json_writer.h"
#include "core/session/store/session_file.h"

#include <string>

namespace twinlamp::commands {

/// What was typed in, for people and for programs.
struct TypedReadouts
{
    std::string text;
    report::Json list; ///< {setting, clip, press, latency_ms}, clip and press null of a setting
};

/// Files readouts in a session as one edit.
/// @error Command/InvalidValue  no such setting, clip or press; too few presses for the figures
[[nodiscard]] Result<TypedReadouts> typeReadouts(
    session::store::SessionFile& file, const TypeReadouts& task);

/// @error Command/InvalidValue  names those that there are
[[nodiscard]] Result<session::SettingId> settingNamed(
    const session::store::SessionFile& file, const std::string& name);

} // namespace twinlamp::commands
