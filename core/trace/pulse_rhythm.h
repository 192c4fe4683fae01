// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>

namespace twinlamp::trace {

/// Period at which a light goes up and down, as frames show it: a period shorter than two frames
/// shows as a longer one (aliasing), which serves as well for taking it out again.
/// @param light    shape N, NaN where a frame is missing
/// @param startMs  shape N, when each frame's exposure began; frames may be missing between them
/// @param frameIntervalMs  of the camera
/// @return ms, 2 frame intervals or more; nothing where no rhythm stands out from switching lamps
///         and noise
/// Source: periodogram of the frame-to-frame differences; a line must exceed 60 times the median
/// power around it, which white noise over a million frames reaches with a chance below 1e-12.
/// Tests: tests/core/trace/pulse_rhythm_test.cpp
[[nodiscard]] std::optional<double> pulseRhythmMs(
    std::span<const float> light, std::span<const double> startMs, double frameIntervalMs);

} // namespace twinlamp::trace
