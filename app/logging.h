// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

namespace twinlamp::app {

/// Sends spdlog to a rotating file twinlamp.log in `folder` (made where it is missing) and, when
/// verbose, to standard error as well. A log that cannot be written never stops the program: the
/// reason then shows with `verbose` only. An empty folder means no file.
void startLogging(const std::filesystem::path& folder, bool verbose);

} // namespace twinlamp::app
