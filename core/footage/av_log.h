// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace twinlamp::footage {

/// Sends the messages of libav* to spdlog's debug level instead of the terminal; any number of
/// calls, any thread.
void redirectAvLog();

} // namespace twinlamp::footage
