// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/answer_fit.h"
#include "core/trace/pulse_light.h"

#include <optional>

namespace twinlamp::onset {

/// An answer that a panel shows in pulses, each seen on its own. First light (half light, settled)
/// is the first lit instant at which the light has made 10 % (50 %, 90 %) of its step: the start of
/// a pulse, or an instant within it where the picture changed while the pulse was lit.
struct PulseAnswer
{
    double firstMs = 0.0; ///< region time
    double halfMs = 0.0;
    double settledMs = 0.0;
    double before = 0.0; ///< mean over a period
    double after = 0.0;
    double noise = 0.0; ///< of one frame
    /// Of first light. Where a pulse has changed by about a tenth the next one may be meant: then
    /// the 95 % interval holds both.
    double standardMs = 0.0;

    [[nodiscard]] double step() const { return after - before; }
};

/// @param light   the trace freed from its pulses, NaN between them
/// @param window  its edge and frames; the answer does not begin before window.earliestMs
/// @return nothing where the window has no level on one of its sides, or no step of the right sign
/// Tests: tests/core/onset/pulse_answer_test.cpp
[[nodiscard]] std::optional<PulseAnswer> pulseAnswer(
    const TimedTrace& light, const trace::PulseLight& pulses, const AnswerWindow& window);

} // namespace twinlamp::onset
