// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::trace {

/// One pulse of a light that is dark before and after it.
struct SinglePulse
{
    double startMs = 0.0; ///< in the time of the trace
    double height = 0.0; ///< light while it is lit, above the floor, share of full scale
};

/// Pulses that come one by one, about a period apart: a backlight that flashes with each redraw of
/// a panel whose redraws wobble. A light too dim to be seen keeps the rhythm of its neighbours.
struct SinglePulses
{
    double litMs = 0.0; ///< length of each pulse
    double exposureMs = 0.0; ///< of the frames, as the pulses tell it
    double floor = 0.0; ///< light between them
    std::vector<SinglePulse> pulses; ///< by rising start
};

/// What is known beforehand.
struct PulseClock
{
    double periodMs = 0.0; ///< about which they come, see pulseRhythmMs
    std::vector<double> exposuresMs; ///< that the camera may have had; one where it is given
};

/// Part of an exposure that a pulse lights, 0 to 1.
[[nodiscard]] double litPart(
    double exposureStartMs, double exposureMs, double fromMs, double litMs);

/// Times every pulse on its own: least squares of its frames over start and height, length and
/// exposure in common.
/// @param light     shape N, NaN where a frame is missing
/// @param timeMs    shape N, start of each frame's exposure of the region
/// @return nothing with fewer than 10 pulses or where frames between them are not dark
/// Tests: tests/core/trace/single_pulses_test.cpp
[[nodiscard]] std::optional<SinglePulses> findSinglePulses(
    std::span<const float> light, std::span<const double> timeMs, const PulseClock& clock);

} // namespace twinlamp::trace
