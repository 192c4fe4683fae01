// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/stamp_clock.h"

namespace twinlamp::footage {

/// Gaps in stamps of a uniform clock that were rounded to a grid. Matters where the grid is coarse
/// against the frame interval: an ordinary step can then be two grid lines.
///
/// @param grid              Stamps in grid lines from the first one. Shape N, not falling.
/// @param expectedInterval  Frame interval in grid lines as the capture rate has it, where the file
///                          plays in real time.
/// @return Nothing where the stamps are those of no uniform clock and the grid is fine enough to
///         read them step by step.
[[nodiscard]] std::optional<std::vector<StampGap>> coarseGaps(
    std::span<const std::int64_t> grid, std::optional<double> expectedInterval);

} // namespace twinlamp::footage
