// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/rhythm.h"
#include "core/onset/answer_fit.h"
#include "core/onset/timed_trace.h"

#include <optional>
#include <span>

namespace twinlamp::measure {

/// An answer of the goggle lamp, or of a band of the panel, and the trace that shows it.
struct TracedAnswer
{
    onset::TimedTrace trace;
    onset::AnswerWindow window;
};

/// How well answers are explained by one step each, and by two an interval apart.
struct StepsEvidence
{
    double oneStep = 0.0; ///< squared residuals, each answer in units of its step
    double twoSteps = 0.0; ///< the better of both for every answer
    std::optional<Interval> interval; ///< nothing where one step explains them nearly as well
    bool isRhythm = false; ///< the answers' starts keep to it as well
};

/// New-frame interval told by answers in two steps: the link camera's exposure leaves the first new
/// picture partly lit, the next one completes it. The delay that explains all answers together best
/// under any of a few shapes counts; answers taken one by one would use a short delay to mend a
/// wrong shape.
/// Tests: tests/core/measure/new_frame_interval_test.cpp
[[nodiscard]] StepsEvidence newFrameFromSteps(std::span<const TracedAnswer> answers);

/// New-frame interval told by the rhythm of the answers' starts; their second steps tell which
/// multiple of it is one, for a panel that shows each picture more than once.
/// @return nothing with fewer than 8 answers or without a rhythm
[[nodiscard]] std::optional<Interval> newFrameFromRhythm(std::span<const TracedAnswer> answers);

} // namespace twinlamp::measure
