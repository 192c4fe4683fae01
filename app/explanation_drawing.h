// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/explain_command.h"

namespace twinlamp::app {

/// Draws for `twinlamp explain`, without a display.
/// @error Command/InvalidValue  this build has no window library
[[nodiscard]] Result<std::string> drawExplanation(const report::PressExplanation& explanation,
    const std::vector<commands::LampPicture>& pictures, commands::DrawingFormat format);

} // namespace twinlamp::app
