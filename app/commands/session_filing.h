// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/base/measure_options.h"
#include "core/base/result.h"
#include "core/base/rig_check.h"

#include <filesystem>
#include <stop_token>
#include <string>

namespace twinlamp::commands {

/// Where in which session a result goes.
struct FilingOrder
{
    std::filesystem::path session;
    std::string setting;
    std::string run; ///< empty: the session chooses
    std::string rig; ///< of the clip; empty: the one that it has
};

/// Says whether the session can be read, before a long measurement is begun. A file that does not
/// exist yet is fine.
/// @error Session/…  as session::store::SessionFile::open
[[nodiscard]] Result<void> checkSession(const std::filesystem::path& session);

/// Files a result; makes the session where it does not exist. A session that a window has open is
/// waited for, 5 s. On an error the session is as it was, or is not there.
/// @error Session/Busy          still open elsewhere, or `stop` was asked for
/// @error Session/InvalidValue  the clip lies in another setting
/// @error Session/…             as session::store::SessionFile
[[nodiscard]] Result<void> fileInSession(const FilingOrder& order,
    const std::filesystem::path& clip, ClipResult result, const measure::MeasureOptions& options,
    const std::stop_token& stop);

/// What a clip is measured with: the options as asked, filled up from the clip's rig.
/// @param rig  name; empty: the rig that the session names for the same clip, if any
/// @error Session/InvalidValue  a line time beside a zero check that holds the row skew
/// @error Session/…             as checkSession; Footage/… the clip cannot be read
[[nodiscard]] Result<measure::MeasureOptions> optionsInRig(const std::filesystem::path& session,
    const std::string& rig, const std::filesystem::path& clip, const measure::MeasureOptions& asked,
    const std::stop_token& stop);

/// The same for a check of that kind.
[[nodiscard]] Result<measure::MeasureOptions> checkOptionsInRig(
    const std::filesystem::path& session, const std::string& rig, CheckKind kind,
    const measure::MeasureOptions& asked);

/// Files a check under today's date in a rig, which is made where the session has none of that
/// name; the session likewise. @error as fileInSession
[[nodiscard]] Result<void> fileCheckInSession(const std::filesystem::path& session,
    const std::string& rig, CheckResult check, const std::stop_token& stop);

} // namespace twinlamp::commands
