// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/panel/cell_traces.h"

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::panel {

/// Rhythm in which a moving picture on the panel renews itself.
struct MotionRhythm
{
    double newFrameMs = 0.0;
    double standardMs = 0.0;
    double heldShare = 0.0; ///< of the intervals without a change
    double longestHeldMs = 0.0;
};

/// Interval between new pictures from the periodicity of the cells' frame differences; nothing
/// where the picture stands still or no rhythm stands out.
///
/// @param startMs  start of each frame, real time, shape N
/// @param quiet    frames at which no lamp's light is changing, shape N; presses have a rhythm of
///                 their own. Empty: all of them.
/// Source: autocorrelation of the change per band of rows, each band compared with itself so that
/// the sweep does not
///         smear it.
/// Tests: tests/core/panel/motion_test.cpp
[[nodiscard]] std::optional<MotionRhythm> motionRhythm(
    const CellTraces& cells, std::span<const double> startMs, const std::vector<bool>& quiet = {});

/// Whether the picture may move, by fewer frames than it takes to tell its rhythm: true where
/// motionRhythm() would find one if it saw more, and where too little is quiet to know.
/// @param quiet  as above; frames before or behind a missing one are not quiet
[[nodiscard]] bool mayMove(
    const CellTraces& cells, std::span<const double> startMs, const std::vector<bool>& quiet);

} // namespace twinlamp::panel
