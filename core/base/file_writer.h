// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"

#include <filesystem>
#include <string_view>

namespace twinlamp {

/// Writes `bytes` to a file beside `target`, then renames it: a stop, a crash or a full disk leaves
/// the old file or none, never half a one. A link keeps pointing; devices and pipes are written
/// into.
/// @param where  stage that the error names
/// @error where/WriteFailed  names the file, the system's reason and what to do
[[nodiscard]] Result<void> writeFileAside(
    const std::filesystem::path& target, std::string_view bytes, Stage where = Stage::Base);

} // namespace twinlamp
