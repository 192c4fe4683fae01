// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

namespace twinlamp::session {

/// Today at the tester's place, YYYY-MM-DD.
[[nodiscard]] std::string today();

/// This instant in UTC, "2026-05-17T09:30:00.125Z".
[[nodiscard]] std::string nowUtc();

/// Name of the account that this program runs under; "unknown" where the system has none.
[[nodiscard]] std::string account();

} // namespace twinlamp::session
