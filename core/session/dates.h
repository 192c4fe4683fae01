// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

namespace twinlamp::session {

/// Today at the tester's place, YYYY-MM-DD.
[[nodiscard]] std::string today();

} // namespace twinlamp::session
