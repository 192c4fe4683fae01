// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"
#include "core/onset/edge_finder.h"

#include <span>
#include <vector>

/// The rows of a lamp, a few of them together: what a rolling shutter shows one after the other.
namespace twinlamp::measure {

/// A few rows of a lamp, read apart.
struct LampLine
{
    double row = 0.0; ///< mean stored row
    std::vector<float> light; ///< shape N
};

/// Mean stored row of each line of a region that is read in `lines` lines.
[[nodiscard]] std::vector<double> lineRows(RectPx stored, int lines);
/// Lines of a region apart.
/// @param cells  shape N x lines, frame after frame
[[nodiscard]] std::vector<LampLine> linesApart(
    RectPx stored, int lines, std::span<const float> cells);

/// How far the light of a line goes from dark to lit.
[[nodiscard]] float rangeOf(const LampLine& line);

/// The lines that show the lamp itself: those that step little against the strongest are glow, or
/// lit by their neighbours. A line's step is the median over the edges, by the few frames around
/// each, so that no other frame has a say.
[[nodiscard]] std::vector<LampLine> linesOfTheLamp(
    std::span<const LampLine> lines, std::span<const onset::CoarseEdge> edges);

/// Stored row that the lamp's light is centred on: its lines weighted by their range.
/// @return the middle of `stored` where no line changes
[[nodiscard]] double middleRow(std::span<const LampLine> lines, RectPx stored);

} // namespace twinlamp::measure
