// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/answer_fit.h"
#include "core/onset/window_light.h"

#include <vector>

namespace twinlamp::onset {

/// Where an answer may start, region time.
struct StartRange
{
    double earliestMs = 0.0;
    double latestMs = 0.0;
};

/// The change starts shortly before the first frames that leave the old level: searching elsewhere
/// only costs. A first picture that is hardly lit may hide in the noise, so the instant of a clear
/// departure is searched as well. Where noise could hide a picture that decides first light, or too
/// few frames tell the old level, it is the whole window.
/// @param light  of the window
/// @param shape  that is tried: a long sweep over a round lamp begins well before it shows
/// Tests: tests/core/onset/likely_starts_test.cpp
[[nodiscard]] std::vector<StartRange> likelyStarts(const WindowLight& light,
    const TimedTrace& trace, const AnswerWindow& window, const StepShape& shape);

} // namespace twinlamp::onset
