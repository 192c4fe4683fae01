// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

namespace twinlamp::app {

/// The program's own folders after the XDG Base Directory Specification 0.8: a relative path in a
/// variable is ignored. Empty where neither the variable nor HOME is set. Not made here.
[[nodiscard]] std::filesystem::path stateFolder(); ///< log; $XDG_STATE_HOME/twinlamp
[[nodiscard]] std::filesystem::path dataFolder(); ///< samples; $XDG_DATA_HOME/twinlamp

/// Scenes that came with the program: beside the installed program, or in the sources that it was
/// built from. Relative "samples" where neither is found.
[[nodiscard]] std::filesystem::path sampleScenesFolder();

} // namespace twinlamp::app
