// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/av_log.h"

extern "C" {
#include <libavutil/log.h>
}

#include <array>
#include <cstdarg>
#include <mutex>
#include <spdlog/spdlog.h>
#include <string_view>

namespace twinlamp::footage {

namespace {

void forward(void* source, int level, const char* format, va_list arguments)
{
    // What libav calls an error is a finding about the footage, told to the user as such; it is no
    // fault of this program, so it never reaches the error level.
    if (level > AV_LOG_WARNING || !spdlog::should_log(spdlog::level::debug)) {
        return;
    }
    std::array<char, 1024> line {};
    int printPrefix = 1;
    av_log_format_line2(
        source, level, format, arguments, line.data(), static_cast<int>(line.size()), &printPrefix);
    std::string_view text(line.data());
    while (!text.empty() && text.back() == '\n') {
        text.remove_suffix(1);
    }
    spdlog::debug("libav: {}", text);
}

} // namespace

void redirectAvLog()
{
    static std::once_flag once;
    std::call_once(once, [] { av_log_set_callback(forward); });
}

} // namespace twinlamp::footage
