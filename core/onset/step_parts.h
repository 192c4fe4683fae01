// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/answer_fit.h"
#include "core/onset/shape_table.h"

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::onset {

/// How a change is shared among steps at known times.
struct StepParts
{
    double before = 0.0; ///< light before all of them
    std::vector<double> parts; ///< signed, one per time, all of the window's sign or 0
    double noise = 0.0; ///< standard deviation of a frame about the model

    [[nodiscard]] double step() const;
};

/// Least squares of light = before + sum of part_i g(t - start_i), parts kept of one sign by
/// leaving out the one that is most against it until none is.
/// @param startsMs  of the steps, region time
/// @return nothing where the window has too few frames or every part is left out
/// Tests: tests/core/onset/step_parts_test.cpp
[[nodiscard]] std::optional<StepParts> fitStepParts(const TimedTrace& trace,
    const AnswerWindow& window, const ShapeTable& table, std::span<const double> startsMs);

} // namespace twinlamp::onset
