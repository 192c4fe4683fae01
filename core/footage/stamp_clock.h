// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace twinlamp::footage {

/// Frames that a recording lost just before one of its frames.
struct StampGap
{
    FrameIndex after; ///< the frame that follows the gap
    std::int64_t lost = 0;
    bool operator==(const StampGap&) const = default;
};

/// What the time stamps of a clip say about its clock.
struct StampReading
{
    double intervalTicks
        = 0.0; ///< mean frame interval, lost frames left out; 0: fewer than 2 frames
    std::vector<StampGap> gaps; ///< in order
    bool uneven = false; ///< the stamps follow no uniform clock
};

/// One stream tick = num / den seconds of play time.
struct TickLength
{
    std::int64_t num = 1;
    std::int64_t den = 1;
};

/// Reads the running clock off time stamps and finds the jumps of it that stay.
///
/// Stamps are frames of a clock of slowly varying interval, moved by less than half a frame and
/// rounded to the container's grid. Where the grid is finer than two thirds of an interval, a step
/// of 1.5 local intervals or more is looked at, and counts by how far the stamps after it are
/// shifted against those before (medians, so that one late stamp does not count). Where the grid is
/// as coarse as the interval, an ordinary step can be two grid lines: there stamps are held against
/// a straight line, whose rounding keeps them inside a band one grid line wide.
///
/// @param stamps       Shape N, not falling. Unit: ticks.
/// @param captureRate  Settles what a coarse grid leaves open; a gap is otherwise judged without
/// it. Cost: linear. Tests: tests/core/footage/stamp_clock_test.cpp
[[nodiscard]] StampReading readStamps(
    std::span<const std::int64_t> stamps, TickLength tick, std::optional<FrameRate> captureRate);

} // namespace twinlamp::footage
