// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/map_blocks.h"

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::measure {

/// Where a lamp's light is wanted, and in what grid.
struct LampPlace
{
    RectPx stored;
    int columns = 1;
    int rows = 1;
};

/// A lamp's light, or the spans of one that was read.
template<typename Values> struct LampLight
{
    LampPlace place;
    Values light; ///< shape N
    Values high; ///< shape N, share of clipped pixels
    Values cells; ///< frame after frame, row by row; empty for one cell
};

using LampLightRead = LampLight<std::span<const float>>;
using LampLightTold = LampLight<std::vector<float>>;

/// Light of a lamp's region that was moved or resized: that of the region as it was read, plus
/// what the map says of the parts that came in, less that of those that went out; where that does
/// not do, from the map alone.
///
/// @return nothing where the map does not suffice:
/// - a block that a border cuts is lit unevenly, so that the share within the region is not sure:
///   all of them together may hide 1 % of how much the region's light changes;
/// - a block that comes in or goes out is clipped, or coloured and changes;
/// - more of the change comes from the map than its blocks can place (a tenth, where the grid's
///   cells are smaller than a block), or, from the map alone, from fewer than 4 blocks;
/// - nothing in the region changes.
/// Tests: tests/core/measure/second_look_test.cpp
[[nodiscard]] std::optional<LampLightTold> lampFromMap(
    MapBlocks& blocks, const LampPlace& wanted, const LampLightRead& read);

} // namespace twinlamp::measure
