// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

namespace twinlamp::tests {

/// Compares with the file tests/golden/`name` and fails the running test at the first line that
/// differs. With the variable TWINLAMP_RENEW_GOLDEN set (tests/golden/renew does) it writes the
/// file instead and fails, so that a renewal never passes for a check. The build's version stands
/// as VERSION in the files.
void expectGolden(std::string_view name, std::string text);

} // namespace twinlamp::tests
