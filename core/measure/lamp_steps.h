// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/stretch.h"

#include <vector>

namespace twinlamp::measure {

/// Whether a light steps when the lamps switch, told from its levels over the stretches and, where
/// it drifts, from its levels right before and after each switching with a common slope taken out.
/// Three standard errors of the mean step tell it; noise alone passes in one of 200.
/// @param quiet  in time order, without the frames in which a lamp switches or settles
/// @return true where there are too few steps to tell
/// Tests: tests/core/measure/lamp_steps_test.cpp
[[nodiscard]] bool stepsWithLamps(const Column& light, const std::vector<Stretch>& quiet);

} // namespace twinlamp::measure
