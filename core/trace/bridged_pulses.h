// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::trace {

/// A lamp that is dimmed by pulses, with the dark between them bridged: so bright as its brightest
/// frames from the first pulse to the last one of each hold.
struct BridgedPulses
{
    std::vector<float> light; ///< shape N, NaN where a frame is missing
    double depth = 0.0; ///< how far lit frames fall below the bridge, 0 to 1: their lowest tenth
    double darkMs = 0.0; ///< usual time between pulses in which frames show less than half; 0: none
};

/// Bridges the pulses of a lamp that switches. Nothing is asked of their phase, which may begin
/// anew with each switching; of the lit light, only that dark between pulses is shorter than a
/// hold.
/// @param light   shape N, NaN where a frame is missing
/// @param timeMs  shape N, start of each frame's exposure
/// @return nothing where the light shows no rhythm (pulseRhythmMs), or one shallower than 6 %
/// Source: morphological closing (J. Serra 1982, from memory).
/// Tests: tests/core/trace/bridged_pulses_test.cpp
[[nodiscard]] std::optional<BridgedPulses> bridgePulses(
    std::span<const float> light, std::span<const double> timeMs, double frameIntervalMs);

} // namespace twinlamp::trace
