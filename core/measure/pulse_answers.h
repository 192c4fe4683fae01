// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"
#include "core/measure/answer_window.h"
#include "core/onset/pulse_answer.h"

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::measure {

/// Stretch of the trace that tells about an answer shown in pulses: some pulses on either side.
[[nodiscard]] onset::AnswerWindow pulseWindow(const onset::TimedTrace& goggle,
    std::span<const onset::CoarseEdge> edges, const PairedEdge& paired, double periodMs);

/// Every answer of a goggle lamp whose pulses are seen one by one; one per paired edge.
[[nodiscard]] std::vector<std::optional<onset::PulseAnswer>> pulseAnswers(
    const onset::TimedTrace& goggle, const trace::PulseLight& pulses,
    std::span<const onset::CoarseEdge> edges, std::span<const PairedEdge> paired);

/// Light of the frames of a window as an answer shown in pulses has it, the pulses taken out.
[[nodiscard]] ModelStretch modelOfPulses(const onset::TimedTrace& goggle,
    const onset::AnswerWindow& window, const onset::PulseAnswer& answer);

} // namespace twinlamp::measure
