// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/session/session.h"

#include <optional>
#include <vector>

namespace twinlamp::session {

/// A press as it counts: measured values with the corrections by hand applied, and beside it what
/// was measured.
struct EffectivePress
{
    Press press;
    Press measured;
    bool markMoved = false;
    std::optional<HandChoice> choice;
    bool operator==(const EffectivePress&) const = default;
};

/// Presses of a clip as they count; none where it is not measured. Same order as measured.
///
/// A moved onset or first light moves the latency by as much, so that zero and row corrections stay
/// in it; where there was no latency, it is first light minus onset minus the zero correction. The
/// press gains the flag corrected-by-hand and loses no-response when first light was placed. Its
/// uncertainty gains one part HandCorrection for each moved end of the latency: a hand places a
/// mark to a frame, so the standard uncertainty is the frame interval / sqrt(12) (JCGM
/// 100:2008, 4.3.7). The parts of the measured marks stay: moving a mark never makes a figure look
/// better. Tests: tests/core/session/effective_test.cpp
[[nodiscard]] std::vector<EffectivePress> effectivePresses(const Clip& clip);

/// Only the presses as they count.
[[nodiscard]] std::vector<Press> countedPresses(const Clip& clip);

/// The clip as core/report takes it: the measurement with the presses as they count, without
/// traces. @pre clip.measurement
[[nodiscard]] ClipResult effectiveResult(const Clip& clip);

/// Corrections that a new measurement of the same clip keeps.
struct CarriedCorrections
{
    std::vector<PressCorrection> corrections;
    int dropped = 0; ///< corrected presses that have no counterpart in the new measurement
};

/// The press of a measurement that is the same switching: of the same edge, its measured onset the
/// nearest and at most 2 frame intervals away. Null without one.
[[nodiscard]] const Press* counterpartOf(const Press& press, const ClipMeasurement& measurement);

/// Moves corrections to the counterparts of their presses in a new measurement.
[[nodiscard]] CarriedCorrections carriedCorrections(
    const Clip& clip, const ClipMeasurement& newMeasurement);

/// The same for the typed readouts of the presses; those without a counterpart are left out.
[[nodiscard]] std::vector<PressReadout> carriedReadouts(
    const Clip& clip, const ClipMeasurement& newMeasurement);

} // namespace twinlamp::session
