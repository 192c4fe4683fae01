// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"
#include "core/onset/answer_fit.h"

#include <span>

namespace twinlamp::measure {

/// Root of the sum of squares of independent parts.
/// Source: JCGM 100:2008, 5.1.2, with sensitivities of 1 (every part is a time already).
[[nodiscard]] double combinedStandardMs(std::span<const UncertaintyPart> parts);

/// Half width of the 95 % interval of a combined standard uncertainty: Student's factor of the
/// effective degrees of freedom, 1.96 where no part is estimated.
/// Source: JCGM 100:2008, G.4.1 and G.6.4.
[[nodiscard]] double halfWidth95Ms(std::span<const UncertaintyPart> parts);

/// Residuals of neighbouring frames are alike (codecs carry them along), so a fit knows less than
/// it thinks. Measured on simulated footage of three codecs; no outside source.
constexpr double correlatedNoiseFactor = 2.5;

/// Standard uncertainty of first light, ms, that comes from the share of the first of two pictures.
/// An answer that begins with a partly lit picture reaches a tenth of its step early or late as
/// that share is taken. Next to a tenth it may even come one picture later: then the figure has two
/// answers, and the 95 % interval of this part alone holds both.
/// @return 0 for an answer in one step
/// Tests: tests/core/measure/uncertainty_test.cpp
[[nodiscard]] double firstPictureStandardMs(
    const onset::AnswerFit& fit, const onset::StepShape& shape, double frameIntervalMs);

} // namespace twinlamp::measure
