// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/blob.h"
#include "core/measure/block_map.h"
#include "core/onset/edge_finder.h"

#include <cstddef>
#include <vector>

/// What the searches for lamps share: how the blocks of a picture step when a lamp switches.
namespace twinlamp::measure {

/// Scatter within the levels of a block, as a share of its step: a lamp has two levels, a moving
/// picture many.
[[nodiscard]] double levelScatter(std::span<const float> light, const onset::EdgeSearch& search);

/// Mean step of every block at the given edges, from `away` frames before to `away` frames after,
/// over `width` frames.
[[nodiscard]] std::vector<float> stepMap(const BlockMap& map,
    const std::vector<onset::CoarseEdge>& edges, std::ptrdiff_t away, std::ptrdiff_t width);

/// How many frames after the given edges each block steps, on the mean: the area above its course
/// from two frames before the edges to `latest` after them, as a share of its step.
/// @return noise for a block that does not step
[[nodiscard]] std::vector<float> delayMap(
    const BlockMap& map, const std::vector<onset::CoarseEdge>& edges, std::ptrdiff_t latest);

/// Frames from one edge to the next: the median; 0 for a single edge.
[[nodiscard]] std::ptrdiff_t holdFrames(const std::vector<onset::CoarseEdge>& edges);

/// Pixels of a box of blocks.
[[nodiscard]] RectPx toPixels(const BlockMap& map, RectPx blocks);

[[nodiscard]] std::size_t highestBlock(const std::vector<float>& values);

/// How far the best blob stands out from the next one: 1 alone, 0 beside an equal.
[[nodiscard]] double isolation(const std::vector<float>& steps, const Blob& blob);

} // namespace twinlamp::measure
