// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"

namespace twinlamp::rig {

/// When the rows of a stored picture are exposed, relative to the start of the frame: row y starts
/// y line times after it (design.md, "Rolling shutter"), before it where the line time is negative.
struct CameraTiming
{
    double frameIntervalMs = 0.0;
    /// Time that each row gathers light, at most the frame interval.
    double exposureMs = 0.0;
    /// From one stored row to the next; negative: the bottom row is exposed first. 0: all rows at
    /// once, or unknown.
    double lineTimeMs = 0.0;
    int storedRows = 0;

    /// Time between the end of one exposure and the start of the next, in which the camera sees
    /// nothing.
    [[nodiscard]] double gapMs() const
    {
        return frameIntervalMs > exposureMs ? frameIntervalMs - exposureMs : 0.0;
    }
};

/// Exposure of a region's rows within one frame: its rows start at firstRowMs to firstRowMs +
/// smearMs.
struct RegionTiming
{
    double firstRowMs = 0.0; ///< of the region's row exposed first
    double smearMs = 0.0; ///< from its first exposed row to its last; never negative

    /// Mean start of its rows.
    [[nodiscard]] double meanRowMs() const { return firstRowMs + 0.5 * smearMs; }
};

/// Row timing of a rectangle of the stored picture.
/// Source: rows are exposed one after another at the line time (rolling shutter); worked in the
/// tests:
///         1080 rows in 3.6 ms, rows 300 and 800, correction +1.666667 ms.
/// Tests:  tests/core/rig/camera_timing_test.cpp
[[nodiscard]] RegionTiming regionTiming(const CameraTiming& camera, RectPx stored);

} // namespace twinlamp::rig
