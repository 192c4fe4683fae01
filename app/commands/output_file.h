// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/command.h"
#include "core/base/result.h"

#include <filesystem>
#include <string_view>

namespace twinlamp::commands {

/// Writes `text` to a file beside `target`, then renames it: a stop or a full disk leaves the old
/// file or none, never half a one.
/// @error Command/WriteFailed  names the file, the system's reason and what to do
[[nodiscard]] Result<void> writeAside(const std::filesystem::path& target, std::string_view text);

/// Where an option such as --json sends its text: "-" is `context.out`, anything else a file.
/// @error Command/WriteFailed
[[nodiscard]] Result<void> writeOutput(
    const CommandContext& context, std::string_view target, std::string_view text);

} // namespace twinlamp::commands
