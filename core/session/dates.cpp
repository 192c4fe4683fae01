// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/dates.h"

#include <array>
#include <ctime>

namespace twinlamp::session {

std::string today()
{
    const std::time_t now = std::time(nullptr);
    std::tm local {};
    ::localtime_r(&now, &local);
    std::array<char, 16> text {};
    const std::size_t length = std::strftime(text.data(), text.size(), "%Y-%m-%d", &local);
    return {text.data(), length};
}

} // namespace twinlamp::session
