// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/stamp_clock.h"

namespace twinlamp::footage {

/// Gaps in stamps whose grid is about as coarse as the frame interval.
///
/// @param grid              Stamps in grid lines from the first one. Shape N, not falling.
/// @param expectedInterval  Frame interval in grid lines as the capture rate has it, where the file
///                          plays in real time.
[[nodiscard]] std::vector<StampGap> coarseGaps(
    std::span<const std::int64_t> grid, std::optional<double> expectedInterval);

} // namespace twinlamp::footage
