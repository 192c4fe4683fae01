// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/command_line_parts.h"

#include "app/help_texts.h"

#include <optional>

namespace twinlamp::app {

void addOutput(CLI::App& command, std::string& target, const char* name, const char* help)
{
    addValue<std::string>(command, target,
        {name, "FILE", "the name of a file",
            [](const std::string& text) {
                return text.empty() ? std::nullopt : std::optional<std::string>(text);
            },
            help});
}

CLI::App* addCommand(CLI::App& program, bool& verbose, const char* name, const char* help)
{
    CLI::App* command = program.add_subcommand(name, help);
    command->add_flag("--verbose", verbose, "Write the log to standard error as well");
    command->footer(exitStatuses);
    return command;
}

} // namespace twinlamp::app
