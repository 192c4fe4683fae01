// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/command.h"

#include <sstream>
#include <stop_token>
#include <string>
#include <utility>

namespace twinlamp::tests {

/// What a command left behind.
struct Outcome
{
    commands::ExitStatus status = commands::ExitStatus::Done;
    std::string out;
    std::string err;
};

/// Runs a command with no terminal.
/// @param command  as runMeasure(arguments, context)
template<typename Command, typename Arguments>
Outcome outcomeOf(const Command& command, const Arguments& arguments, std::stop_token stop)
{
    std::ostringstream out;
    std::ostringstream err;
    const commands::CommandContext context {out, err, std::move(stop), false};
    const commands::ExitStatus status = command(arguments, context);
    return {status, out.str(), err.str()};
}

} // namespace twinlamp::tests
