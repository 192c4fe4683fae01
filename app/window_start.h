// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/command_line.h"

#include <ostream>

namespace twinlamp::app {

/// Opens the window on the files of the command line and returns when it is closed.
///
/// @return exit status; 2 with one line on `err` where this build has no window, where there is no
///         display, or where a word is neither a command nor a file; 3 where a named file is
///         missing
int startWindow(int argc, char** argv, const WindowFiles& window, std::ostream& err);

} // namespace twinlamp::app
