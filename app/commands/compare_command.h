// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/command.h"
#include "core/stats/summary.h"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace twinlamp::commands {

/// What was typed after `twinlamp compare`.
struct CompareArguments
{
    std::filesystem::path session;
    std::string a; ///< names of two link settings
    std::string b;
    std::vector<std::string> others; ///< more settings: all of them are then ranked
    bool all = false; ///< every setting of the session in the place of names
    stats::Figure of = stats::Figure::FirstLight;
    std::optional<double> lateLimitMs; ///< empty: the session's, if it has one
    std::optional<double> marginMs;
    std::string jsonFile; ///< "-": standard output
};

/// Compares two link settings of a session, or ranks more of them, with runs as the blocks; as a
/// table with sentences unless JSON was asked for. Reads the session only, also while a window has
/// it open.
///
/// @return Done; WrongWords (a setting that is not there, or one named twice); Unreadable;
///         NotWritten.
ExitStatus runCompare(const CompareArguments& arguments, const CommandContext& context);

} // namespace twinlamp::commands
