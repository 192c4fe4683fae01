// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/dates.h"

#include <array>
#include <chrono>
#include <cstdio>
#include <ctime>
#include <pwd.h>
#include <unistd.h>
#include <vector>

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

std::string nowUtc()
{
    using std::chrono::milliseconds;
    const auto sinceEpoch = std::chrono::duration_cast<milliseconds>(
        std::chrono::system_clock::now().time_since_epoch());
    const std::time_t seconds = std::chrono::floor<std::chrono::seconds>(sinceEpoch).count();
    std::tm utc {};
    ::gmtime_r(&seconds, &utc);
    std::array<char, 32> text {};
    const std::size_t length = std::strftime(text.data(), text.size(), "%Y-%m-%dT%H:%M:%S", &utc);
    std::array<char, 8> fraction {};
    std::snprintf(fraction.data(), fraction.size(), ".%03dZ",
        static_cast<int>((sinceEpoch % std::chrono::seconds(1)).count()));
    return std::string(text.data(), length) + fraction.data();
}

std::string account()
{
    passwd entry {};
    passwd* found = nullptr;
    constexpr std::size_t roomForOne = 16384;
    std::vector<char> room(roomForOne);
    if (::getpwuid_r(::geteuid(), &entry, room.data(), room.size(), &found) != 0
        || found == nullptr) {
        return "unknown";
    }
    return found->pw_name;
}

} // namespace twinlamp::session
