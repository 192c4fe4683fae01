// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/quad_px.h"

#include <optional>
#include <span>

namespace twinlamp::panel {

/// Light of a grid of cells over the panel, row by row: of the stored picture, or, between corners,
/// of the panel's own.
struct CellTraces
{
    int columns = 0;
    int rows = 0;
    std::span<const float>
        light; ///< shape N x (rows * columns), frame after frame; NaN where a frame is missing
    RectPx stored; ///< the panel in the stored picture
    std::optional<QuadPx> corners {}; ///< of a turned panel; `stored` is the rectangle around them

    [[nodiscard]] std::size_t cellCount() const
    {
        return static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows);
    }

    [[nodiscard]] std::size_t frameCount() const
    {
        return cellCount() == 0 ? 0 : light.size() / cellCount();
    }

    [[nodiscard]] float at(std::size_t frame, std::size_t cell) const
    {
        return light[frame * cellCount() + cell];
    }
};

} // namespace twinlamp::panel
