// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>

namespace twinlamp::ui {

/// Progress as Qt's int range wants it. maximum 0 means that the total is not known.
struct ScaledProgress
{
    int value = 0;
    int maximum = 0;
    bool operator==(const ScaledProgress&) const = default;
};

/// 64-bit counts made to fit int without losing their ratio; value never exceeds maximum.
[[nodiscard]] ScaledProgress scaledProgress(std::int64_t done, std::int64_t total);

} // namespace twinlamp::ui
