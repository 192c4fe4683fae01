// SPDX-License-Identifier: GPL-3.0-or-later
// Only app/command_line*.cpp include it, for its CLI11.
#pragma once

#include "app/command_line_parts.h"

#include <memory>

namespace twinlamp::app {

/// The name of a link setting, and one option for each of its conditions.
void addConditions(CLI::App& command, const std::shared_ptr<commands::TellConditions>& task);

} // namespace twinlamp::app
