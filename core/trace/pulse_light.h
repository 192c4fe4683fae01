// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/trace/single_pulses.h"

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::trace {

/// A light that goes up and down with a rhythm: a strobed or dimmed backlight, a lamp dimmed by
/// pulses. What a frame shows is the light's mean over a period times the share of the frame's
/// phase.
struct PulseLight
{
    double periodMs = 0.0; ///< as the frames show it, see pulseRhythmMs
    /// By phase, 0 to 1 of a period: light of a frame over the mean of a period; NaN where no frame
    /// tells.
    std::vector<double> share;
    double floor = 0.0; ///< light that does not pulse, share of full scale
    /// Three frames or more to a period, dark between pulses, and edges as short as an exposure
    /// makes them: each pulse is seen. Faster pulses that beat with the camera rise and fall
    /// slowly.
    bool isResolved = false;
    /// Of a resolved light: start of a pulse and its length, in the time of the trace.
    double litFromMs = 0.0;
    double litMs = 0.0;
    /// Pulses of a resolved light that do not keep to the rhythm, each with its own time; they then
    /// stand for `share` and `litFromMs`. Empty: they keep to it.
    std::vector<SinglePulse> single;
    double exposureMs = 0.0; ///< of the frames that they were timed from
    bool isSlowBeat = false; ///< see findSlowBeat; so slow that all rows of a picture share it
    /// Widest stretch of a period at which no frame of a resolved light began: pulses in step with
    /// the camera show the same few phases for ever, and their starts may lie anywhere between.
    double phaseGapMs = 0.0;
    /// How far apart pulses of a resolved light start over the region: more than 0 where the flash
    /// rolls over the panel. Filled in by who knows the region's cells.
    double sweepMs = 0.0;

    /// Largest less smallest share; 0 of pulses that are timed one by one.
    [[nodiscard]] double swing() const;
    /// Share of a frame whose exposure begins at `startMs`.
    [[nodiscard]] double shareAt(double startMs) const;
    /// Start of the pulse whose middle is nearest to an instant. @pre isResolved
    [[nodiscard]] double nearestStartMs(double timeMs) const;
    /// The instant itself while a pulse is lit, else the start of the next one.
    /// @pre isResolved
    [[nodiscard]] double nextLitMs(double timeMs) const;
};

/// Finds the pulses of a region's light.
/// @param light       shape N, NaN where a frame is missing
/// @param timeMs      shape N, start of each frame's exposure of the region
/// @param exposureMs  of the camera
/// @return nothing where the light does not pulse, or by less than 3 % of itself
/// Tests: tests/core/trace/pulse_light_test.cpp
[[nodiscard]] std::optional<PulseLight> findPulses(std::span<const float> light,
    std::span<const double> timeMs, double frameIntervalMs, double exposureMs);

/// The same with the rhythm known from elsewhere; phases and shares are the region's own.
[[nodiscard]] std::optional<PulseLight> foldPulses(std::span<const float> light,
    std::span<const double> timeMs, double periodMs, double frameIntervalMs, double exposureMs);

/// The light as it were without pulses: its mean over a period. NaN where a frame is missing or was
/// taken between pulses.
[[nodiscard]] std::vector<float> withoutPulses(
    std::span<const float> light, std::span<const double> timeMs, const PulseLight& pulses);

} // namespace twinlamp::trace
