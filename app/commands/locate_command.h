// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/command.h"

#include <filesystem>
#include <string>

namespace twinlamp::commands {

/// What was typed after `twinlamp locate`.
struct LocateArguments
{
    std::filesystem::path clip;
    std::string jsonFile; ///< "-": standard output; empty: words on standard output
};

/// Proposes the lamp regions and the panel of one clip.
///
/// @return Done; Unreadable; NothingFound (the JSON is still written, with empty regions);
///         NotWritten; Stopped.
ExitStatus runLocate(const LocateArguments& arguments, const CommandContext& context);

} // namespace twinlamp::commands
