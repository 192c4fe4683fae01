// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/base/measure_options.h"
#include "core/base/result.h"

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

} // namespace twinlamp::commands
