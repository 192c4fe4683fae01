// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/command.h"
#include "core/measure/rig_checks.h"

#include <filesystem>
#include <string>

namespace twinlamp::commands {

/// What was typed after `twinlamp zero` or `twinlamp timebase`. An empty text: not given.
struct CheckArguments
{
    std::filesystem::path clip;
    measure::MeasureOptions options;
    measure::LampPeriod period; ///< timebase only
    std::string jsonFile; ///< "-": standard output
    std::filesystem::path sessionFile;
    std::string rig; ///< there whenever sessionFile is
};

struct ZeroArguments : CheckArguments
{
};

struct TimeBaseArguments : CheckArguments
{
};

/// Makes a zero check of one clip; says it in sentences unless JSON was asked for, and files it in
/// a session's rig where one is named (whose rate, exposure and line time then serve).
///
/// @return Done; WrongWords; Unreadable; NothingFound (the JSON is still written, its figures
/// null);
///         NotWritten; Stopped (nothing is written).
ExitStatus runZero(const ZeroArguments& arguments, const CommandContext& context);

/// The same for a time-base check.
ExitStatus runTimeBase(const TimeBaseArguments& arguments, const CommandContext& context);

} // namespace twinlamp::commands
