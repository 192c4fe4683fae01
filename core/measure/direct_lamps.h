// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/block_map.h"
#include "core/onset/edge_finder.h"

#include <optional>
#include <vector>

namespace twinlamp::measure {

/// A lamp in direct view, in pixels of the stored picture, to the block.
struct DirectLamp
{
    RectPx rect;
    double confidence = 0.0; ///< 0 to 1: how far it stands out from what switches along
};

struct DirectLamps
{
    std::vector<DirectLamp> lamps; ///< the strongest first
    std::vector<onset::CoarseEdge> edges; ///< of the strongest, frames of the map
};

/// Looks for the `count` strongest patches that switch at the same time: the lamps of a zero check,
/// or the one of a time-base check. Reflections that switch along are weaker than their lamp.
///
/// @return nothing where fewer patches switch, or nothing does
/// Tests: tests/core/measure/direct_lamps_test.cpp
[[nodiscard]] std::optional<DirectLamps> searchDirectLamps(const BlockMap& map, std::size_t count);

} // namespace twinlamp::measure
