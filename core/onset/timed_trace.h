// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/rig/camera_timing.h"

#include <span>

namespace twinlamp::onset {

/// A region's light and when its frames were exposed.
struct TimedTrace
{
    std::span<const float> light; ///< shape N, share of full scale; NaN where a frame is missing
    std::span<const double>
        startMs; ///< shape N, start of the exposure of the picture's first exposed row, real time
    rig::CameraTiming camera;
    rig::RegionTiming rows;

    [[nodiscard]] std::size_t frameCount() const { return light.size(); }
};

} // namespace twinlamp::onset
