// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/answer_fit.h"

namespace twinlamp::onset {

/// Shape common to many answers of one edge kind.
struct ShapeFit
{
    StepShape shape;
    /// Standard deviation of the 10 % time that is left open by not knowing the shape; common to
    /// all answers.
    double firstLightStandardMs = 0.0;
    double squares = 0.0; ///< what the shape leaves, each answer in units of its step
};

/// Sum in which a value counts for at most so many times the median: an answer that nothing
/// explains must not decide for all others.
[[nodiscard]] double cappedSum(std::span<const double> values, double mostOfMedian);

/// Ramp and response that fit all answers best together: presses fall at random moments of the
/// frame, so that many of them sample the shape far finer than one frame interval.
/// @param hint  a shape to try besides the usual ones; all shapes tried have its weights
/// @param rampMs  the ramp, where it is known: presses at one moment of the frame cannot tell it
///                from the response
/// @param slope   how the rows share the first of two pictures, see RowSplit
///
/// Tests: tests/core/onset/answer_fit_test.cpp
[[nodiscard]] ShapeFit fitShape(const TimedTrace& trace, std::span<const AnswerWindow> windows,
    std::span<const double> delays, const StepShape& hint = {},
    std::optional<double> rampMs = std::nullopt, double slope = 0.0);

/// What a shape leaves of all answers, each in units of its step: `squares` of the fit that found
/// it.
[[nodiscard]] double shapeSquares(const TimedTrace& trace, std::span<const AnswerWindow> windows,
    std::span<const double> delays, const StepShape& shape, double slope = 0.0);

} // namespace twinlamp::onset
