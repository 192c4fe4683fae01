// SPDX-License-Identifier: GPL-3.0-or-later
// What the files of the command line share. Only app/command_line*.cpp include it, and with it
// CLI11, which takes seconds to compile.
#pragma once

#include "app/commands/compare_command.h"
#include "app/commands/reckon_command.h"
#include "app/commands/session_command.h"
#include "app/option_words.h"

#include <CLI/CLI.hpp>
#include <string>

namespace twinlamp::app {

/// @tparam Target  Value or std::optional<Value>
template<typename Value, typename Target>
CLI::Option* addValue(CLI::App& command, Target& target, const OptionWords<Value>& words)
{
    const auto store = [&target, words](const std::string& text) {
        const auto value = words.parse(text);
        if (!value) {
            throw CLI::ValidationError(words.name, "'" + text + "' is not " + words.takes);
        }
        target = *value;
    };
    return command.add_option_function<std::string>(words.name, store, words.help)
        ->type_name(words.unit);
}

/// Option for a file that a result is written to.
void addOutput(CLI::App& command, std::string& target, const char* name, const char* help);

/// A command with --verbose and the exit statuses below its help.
CLI::App* addCommand(CLI::App& program, bool& verbose, const char* name, const char* help);

/// `compare`.
void addCompare(CLI::App& program, bool& verbose, commands::CompareArguments& arguments);

/// `reckon` and what follows it.
void addReckon(CLI::App& program, bool& verbose, commands::ReckonArguments& arguments);

/// `session` and what follows it.
void addSession(CLI::App& program, bool& verbose, commands::SessionArguments& arguments);

} // namespace twinlamp::app
