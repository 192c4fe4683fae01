// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <vector>

namespace twinlamp::stats {

/// What the presses of one run and one edge kind gave: between two power-ups of the link its clocks
/// keep one unknown offset, so presses of one run are no independent trials.
struct RunLatencies
{
    std::vector<double> latenciesMs;
    std::int64_t lost = 0; ///< accepted presses that never were answered

    [[nodiscard]] std::int64_t presses() const
    {
        return static_cast<std::int64_t>(latenciesMs.size()) + lost;
    }
};

} // namespace twinlamp::stats
