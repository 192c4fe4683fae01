// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"
#include "core/measure/answer_window.h"
#include "core/measure/lamp_onsets.h"
#include "core/onset/answer_fit.h"
#include "core/onset/reference_onset.h"
#include "core/onset/step_shape.h"
#include "core/onset/timed_trace.h"

#include <cstddef>

namespace twinlamp::measure {

/// Frames of a trace, half-open.
struct FrameSpan
{
    std::size_t first = 0;
    std::size_t last = 0;
};

/// Mean light of each frame of `span` if the lamp switched at the onset's instant between its two
/// levels: a step through the exposure's box, its rows exposed one after another.
///
/// @param span  inside the trace
/// Source: closed form of a step through a box exposure, as onset::referenceOnset fits it.
/// Tests:  tests/core/measure/press_model_test.cpp
[[nodiscard]] ModelStretch referenceModel(
    const onset::TimedTrace& trace, const onset::ReferenceOnset& onset, FrameSpan span);

/// Mean light of each frame of `span` under a fitted answer: one step or two of the panel's shape,
/// averaged over the exposure.
///
/// @param seen  shape that was fitted, as the camera sees it (row sweep included)
/// @param span  inside the trace
/// Tests:  tests/core/measure/press_model_test.cpp
[[nodiscard]] ModelStretch goggleModel(const onset::TimedTrace& trace, const onset::AnswerFit& fit,
    const onset::StepShape& seen, FrameSpan span);

/// Model of one lamp edge over the frames around it, neighbouring edges left out; empty where the
/// edge has no onset.
[[nodiscard]] ModelStretch modelOfLampEdge(
    const onset::TimedTrace& reference, const LampOnsets& lamp, std::size_t edge);

/// Model of one answer over the window that it was fitted in, up to a few frames after it settled.
[[nodiscard]] ModelStretch modelOfAnswer(const onset::TimedTrace& goggle,
    const onset::AnswerWindow& window, const onset::AnswerFit& fit, const onset::StepShape& seen);

} // namespace twinlamp::measure
