// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/block_map.h"
#include "core/onset/edge_finder.h"

#include <optional>
#include <vector>

namespace twinlamp::measure {

/// Lamps and panel as seen in a block map; rectangles in pixels of the stored picture, to the
/// block.
struct LampBlocks
{
    RectPx reference;
    RectPx goggle;
    std::optional<RectPx> panel;
    std::vector<onset::CoarseEdge> referenceEdges; ///< frames of the map
    std::vector<onset::CoarseEdge> goggleEdges;
    double referenceConfidence = 0.0; ///< 0 to 1
    double goggleConfidence = 0.0;
    double panelConfidence = 0.0;
};

/// Looks for a patch that switches early and sharply (the reference lamp) and others that do the
/// same later (the panel), the brightest step among these being the goggle lamp. Reflections that
/// switch along are weaker than their lamp.
///
/// @return nothing where no two patches follow each other
/// Tests: tests/core/measure/lamp_search_test.cpp
[[nodiscard]] std::optional<LampBlocks> searchLamps(const BlockMap& map);

} // namespace twinlamp::measure
