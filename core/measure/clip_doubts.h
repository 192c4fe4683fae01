// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"

#include <optional>
#include <vector>

namespace twinlamp::measure {

/// Whether a camera sees so little of each picture that a fit of the answer cannot be told wrong.
/// @param newFrameMs  of the link, where it is known
[[nodiscard]] bool hasFewFrames(double frameIntervalMs, std::optional<double> newFrameMs);

/// What a whole clip leaves open in each of its presses.
struct ClipDoubts
{
    bool exposureUnknown = false;
    bool rowSkewInside = false; ///< unknown line time, lamps at different rows
    double frameIntervalMs = 0.0;
    std::optional<double> newFrameMs; ///< of the link, where it is known
};

/// Flags every press that has a latency.
/// Tests: tests/core/measure/clip_doubts_test.cpp
void flagClipDoubts(const ClipDoubts& doubts, std::vector<Press>& presses);

/// Flags the presses with a full frame where the panel reaches the border of the picture: what lies
/// beyond cannot be seen.
void flagPartlyVisible(
    const RegionSet& regions, const ClipFacts& clip, std::vector<Press>& presses);

} // namespace twinlamp::measure
