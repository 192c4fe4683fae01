// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/command.h"
#include "core/measure/clip_measurement.h"

#include <filesystem>
#include <optional>
#include <string>

namespace twinlamp::commands {

/// What was typed after `twinlamp measure`. An empty text: the option was not given.
struct MeasureArguments
{
    std::filesystem::path clip;
    measure::MeasureOptions options;
    std::optional<double> lateLimitMs;
    std::string jsonFile; ///< "-": standard output
    std::string csvFile; ///< "-": standard output
    std::filesystem::path sessionFile;
    std::string setting; ///< name of the link setting; there whenever sessionFile is
    std::string run; ///< name of the run; empty: the setting's latest, or a first one
    std::string rig; ///< name of the clip's rig; empty: the one that the session names
};

/// Measures one clip; prints a table unless JSON or CSV was asked for, and files the result in a
/// session where one is named.
///
/// @return Done; WrongWords (no capture rate, a region out of the picture, a clip that lies in
///         another setting); Unreadable; NothingFound (the JSON is still written, with no presses);
///         NotWritten; Stopped (nothing is written).
ExitStatus runMeasure(const MeasureArguments& arguments, const CommandContext& context);

} // namespace twinlamp::commands
