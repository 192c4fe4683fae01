// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/command.h"
#include "core/base/measure_options.h"
#include "core/footage/frame_source.h"
#include "core/report/press_explanation.h"

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace twinlamp::commands {

/// What was typed after `twinlamp explain`. An empty text: the option was not given.
struct ExplainArguments
{
    std::filesystem::path clip;
    measure::MeasureOptions options;
    int press = 0; ///< from 1, as `twinlamp measure` prints it
    std::string output; ///< ends in .png or .svg
    std::string jsonFile; ///< "-": standard output
};

enum class DrawingFormat : std::uint8_t
{
    Png,
    Svg
};

/// One lamp in one frame of the film strip.
struct LampPicture
{
    std::int64_t frame = 0;
    bool goggle = false;
    footage::RgbPicture picture;
};

/// Draws an explanation; gives the bytes of the file. Comes from whoever has a window library:
/// commands do without one.
using DrawExplanation = std::function<Result<std::string>(
    const report::PressExplanation&, const std::vector<LampPicture>&, DrawingFormat)>;

/// Measures the clip and explains one of its presses as a drawing, as JSON, or both.
///
/// @return Done; WrongWords (as measure; a number that no press has; an ending that is neither .png
///         nor .svg); Unreadable; NothingFound (no press, lamps not located); NotWritten; Stopped.
ExitStatus runExplain(
    const ExplainArguments& arguments, const CommandContext& context, const DrawExplanation& draw);

} // namespace twinlamp::commands
