// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/contracts.h"

#include <cstdlib>
#include <spdlog/spdlog.h>

namespace twinlamp {

void contractBroken(const char* condition, const char* file, int line)
{
    spdlog::critical("broken precondition {} at {}:{}", condition, file, line);
    spdlog::default_logger_raw()->flush();
    std::abort();
}

} // namespace twinlamp
