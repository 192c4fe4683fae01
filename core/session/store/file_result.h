// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/store/session_file.h"

#include <filesystem>
#include <string>

namespace twinlamp::session::store {

/// Under which names a result is filed.
struct FilingPlace
{
    std::string setting; ///< created when absent
    std::string run; ///< created when absent; empty: the clip's own run, else `firstRunName`
    std::string rig = {}; ///< of the clip, created when absent; empty: the one that it has
};

inline constexpr const char* firstRunName = "run 1";

/// Files the result of one clip in the session as one edit. The same clip again (same SHA-256) in
/// the same setting is replaced and keeps its corrections as far as its presses are found again;
/// with a run named, it moves there.
///
/// @param clip     the footage file
/// @param options  that the result was measured with
/// @return The clip's entry.
/// @error Session/InvalidValue  the same clip is filed under another setting; an empty name
/// @error Session/NoAccess, WriteFailed
[[nodiscard]] Result<ClipId> fileResult(SessionFile& file, const FilingPlace& place,
    const std::filesystem::path& clip, ClipResult result, const measure::MeasureOptions& options);

} // namespace twinlamp::session::store
