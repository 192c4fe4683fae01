// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace twinlamp {

/// Logs the broken precondition and aborts, in every build: a wrong number is worse than a crash.
[[noreturn]] void contractBroken(const char* condition, const char* file, int line);

} // namespace twinlamp

#define TL_EXPECTS(condition)                                                                      \
    ((condition) ? static_cast<void>(0)                                                            \
                 : ::twinlamp::contractBroken(#condition, __FILE__, __LINE__))
