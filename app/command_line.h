// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/compare_command.h"
#include "app/commands/explain_command.h"
#include "app/commands/film_command.h"
#include "app/commands/locate_command.h"
#include "app/commands/measure_command.h"
#include "app/commands/reckon_command.h"
#include "app/commands/rig_check_command.h"
#include "app/commands/session_command.h"
#include "core/base/result.h"

#include <filesystem>
#include <string>
#include <variant>
#include <vector>

namespace twinlamp::app {

/// `--help` or `--version`: text to print, and nothing else to do.
struct TextRequest
{
    std::string text;
};

/// No command: the window, on a session, on clips, or on what was open last.
struct WindowFiles
{
    std::vector<std::filesystem::path> files;
};

using Request = std::variant<TextRequest, WindowFiles, commands::LocateArguments,
    commands::MeasureArguments, commands::ZeroArguments, commands::TimeBaseArguments,
    commands::ExplainArguments, commands::FilmArguments, commands::ReckonArguments,
    commands::CompareArguments, commands::SessionArguments>;

struct CommandLine
{
    Request request;
    bool verbose = false; ///< log on standard error as well
};

/// Reads the words of a command line; looks at no file.
/// Options are read with a decimal point whatever the locale.
///
/// @param words  the words after the program's name
/// @error Command/InvalidValue  one sentence that names the option and what it takes
[[nodiscard]] Result<CommandLine> parseCommandLine(const std::vector<std::string>& words);

} // namespace twinlamp::app
