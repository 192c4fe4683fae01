// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/ids.h"

#include <random>

namespace twinlamp::session {

std::int64_t randomIdValue()
{
    thread_local std::random_device source;
    constexpr std::int64_t largest = (std::int64_t {1} << 53) - 1;
    return std::uniform_int_distribution<std::int64_t>(1, largest)(source);
}

} // namespace twinlamp::session
