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
    std::optional<double> pressMs = std::nullopt; ///< onset of the press that is answered
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

/// What the rhythm of the answers' starts says.
struct PictureRhythm
{
    Interval steps; ///< that first and second steps keep to
    /// The panel redraws by its own clock: `steps` are its redraws, and new pictures come one or
    /// more of them apart.
    bool isOwnClock = false;
    std::optional<Interval> newFrame; ///< of the link; empty where its own clock hides it
};

/// The rhythm of the answers' starts is that of new pictures, or of a panel that shows each of them
/// more than once: second steps, or the link's rate where it is told, say which multiple is one.
/// Where neither fits, or second steps come now one and now two redraws later, the panel keeps its
/// own clock.
/// @param toldMs  new-frame interval of the link, where the tester tells it
/// @return nothing with fewer than 8 answers or without a rhythm
[[nodiscard]] std::optional<PictureRhythm> newFrameFromRhythm(
    std::span<const TracedAnswer> answers, std::optional<double> toldMs);

} // namespace twinlamp::measure
