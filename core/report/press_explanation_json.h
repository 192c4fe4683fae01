// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/json_writer.h"
#include "core/report/press_explanation.h"

namespace twinlamp::report {

/// The JSON of `twinlamp explain`: times in ms since the onset, light as a share between the darker
/// and the brighter level, residuals as shares of the step.
[[nodiscard]] Json explanationJson(const PressExplanation& explanation);

} // namespace twinlamp::report
