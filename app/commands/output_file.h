// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/command.h"
#include "core/base/result.h"

#include <string_view>

namespace twinlamp::commands {

/// Where an option such as --json sends its text: "-" is `context.out`, anything else a file that
/// is written aside and renamed.
/// @error Command/WriteFailed  names the file, the system's reason and what to do
[[nodiscard]] Result<void> writeOutput(
    const CommandContext& context, std::string_view target, std::string_view text);

} // namespace twinlamp::commands
