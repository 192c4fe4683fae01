// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/jobs/progress_scale.h"

#include <algorithm>
#include <limits>

namespace twinlamp::ui {

ScaledProgress scaledProgress(std::int64_t done, std::int64_t total)
{
    if (total <= 0) {
        return {};
    }
    done = std::clamp<std::int64_t>(done, 0, total);
    constexpr std::int64_t most = std::numeric_limits<int>::max();
    const std::int64_t divisor = total / most + 1;
    return {static_cast<int>(done / divisor), static_cast<int>(total / divisor)};
}

} // namespace twinlamp::ui
