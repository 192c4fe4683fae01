// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/quad_px.h"
#include "core/measure/map_blocks.h"

#include <optional>
#include <vector>

namespace twinlamp::measure {

/// Where a panel's grid is wanted.
struct PanelPlace
{
    RectPx stored; ///< around the corners, where there are some
    std::optional<QuadPx> corners {};
    int columns = 1;
    int rows = 1;
};

/// Light of a panel's cells from the map's blocks, each by what it covers of the cell. Blocks that
/// the panel's border cuts count whole, for what is beside a panel adds a constant.
///
/// @return frame after frame, row by row; nothing where the map does not suffice: a cell is
/// smaller than a block, half of the cells do not change, or what changes beside the panel adds
/// more than a tenth of a cell's change to it.
/// Tests: tests/core/measure/second_look_test.cpp
[[nodiscard]] std::optional<std::vector<float>> panelFromMap(
    MapBlocks& blocks, const PanelPlace& panel);

} // namespace twinlamp::measure
