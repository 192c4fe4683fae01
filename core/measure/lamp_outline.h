// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/frame_source.h"
#include "core/onset/edge_finder.h"

#include <cstddef>
#include <vector>

/// A lamp's outline to the pixel, from the pictures around a few of its switchings.
namespace twinlamp::measure {

/// Pictures around so many edges tell an outline.
inline constexpr std::size_t refineEdges = 3;

/// The rectangle with a margin all around, cut to `inside`.
[[nodiscard]] RectPx grown(RectPx rect, int by, RectPx inside);

/// Mean step of every pixel of a rectangle of the stored picture at a few edges, from `before`
/// frames before to `after` frames after.
/// @param firstFrame  that the frames of the edges count from
[[nodiscard]] std::vector<float> pixelSteps(footage::FrameSource& source,
    const std::vector<onset::CoarseEdge>& edges, std::int64_t firstFrame, RectPx rect,
    std::int64_t before, std::int64_t after);

/// Box of the brightest spot of `steps`, down to `level` of its step; `fallback` where there is
/// none of 3 pixels or more.
/// @param area  rectangle that the steps cover
[[nodiscard]] RectPx refinedRect(
    const std::vector<float>& steps, RectPx area, RectPx fallback, float level);

} // namespace twinlamp::measure
