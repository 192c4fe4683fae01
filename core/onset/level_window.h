// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <span>

namespace twinlamp::onset {

/// Mean light of a quiet stretch, and how sure it is.
struct Level
{
    double light = 0.0;
    double noise = 0.0; ///< standard deviation of one frame
    std::size_t frames = 0; ///< finite values used; 0: no level
    [[nodiscard]] double standardError() const;
};

/// Level over the frames [first, last) of a trace, NaN left out.
[[nodiscard]] Level levelOf(std::span<const float> light, std::size_t first, std::size_t last);

} // namespace twinlamp::onset
