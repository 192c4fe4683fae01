// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/frame_range.h"
#include "core/trace/pulse_light.h"

#include <optional>
#include <span>

namespace twinlamp::trace {

/// Pulses so near to a multiple of the frame rate that frames show them as a beat of 3 to 60
/// a second: most of them slower than pulses that are looked for frame by frame, for there the
/// link's own pictures and the tester's hand move the light as well. It is told from those by
/// keeping its phase through all holds of the lamp.
///
/// Each hold's level is fitted together with a beat of three harmonics in common. A beat is claimed
/// where it swings by 3 % of the light or more and explains half of the variance within the holds.
///
/// @param light   shape N, NaN where a frame is missing
/// @param timeMs  shape N, start of each frame's exposure of the region
/// @param holds   frames at which the light keeps its level but for the beat, by rising frames
/// @param knownMs  period of a rhythm that pulseRhythmMs has seen, of any length; else it is
/// searched
/// @return share by phase and the beat's period, never resolved; nothing with fewer than 6 holds or
///         fewer than 8 periods in them
/// Source: periodogram and linear least squares (from memory).
/// Tests: tests/core/trace/slow_beat_test.cpp
[[nodiscard]] std::optional<PulseLight> findSlowBeat(std::span<const float> light,
    std::span<const double> timeMs, std::span<const FrameRange> holds,
    std::optional<double> knownMs = std::nullopt);

} // namespace twinlamp::trace
