// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"

#include <ostream>
#include <stop_token>
#include <string>

namespace twinlamp::commands {

/// How a command ended, with the number that the shell sees. `Stopped` is 130; main turns it into
/// 143 where the stop was a SIGTERM.
enum class ExitStatus : int
{
    Done = 0,
    WrongWords = 2, ///< an option or a value is off, or an unknown setting
    Unreadable = 3, ///< clip, scene or session cannot be read
    NothingFound = 4, ///< no press, or the regions could not be located
    NotWritten = 5, ///< the result cannot be written
    Stopped = 130
};

/// What a command may touch besides its arguments. Results go to `out`, the one line of an error
/// and the progress to `err`.
struct CommandContext
{
    std::ostream& out;
    std::ostream& err;
    std::stop_token stop;
    bool showProgress = false; ///< true only where `err` is a terminal
};

/// The text as one line that a terminal shows as it stands: the contract promises one line,
/// whatever a library put into its message or a file into its name. Bytes beyond ASCII stay.
[[nodiscard]] std::string onOneLine(std::string text);

/// Status that belongs to an error.
[[nodiscard]] ExitStatus exitStatusOf(const Error& error);

/// Writes the error as one line "twinlamp: …" to `context.err` and returns its status.
ExitStatus reportError(const CommandContext& context, const Error& error);

/// Writes that the command was stopped and left nothing behind; returns `Stopped`.
ExitStatus reportStopped(const CommandContext& context);

} // namespace twinlamp::commands
