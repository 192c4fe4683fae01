// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/rig/camera_timing.h"

#include <cmath>

namespace twinlamp::rig {

RegionTiming regionTiming(const CameraTiming& camera, RectPx stored)
{
    const double line = camera.lineTimeMs;
    // The row exposed first: the top one, or the bottom one where the sensor is read upward.
    const int first = line >= 0.0 ? stored.y : stored.bottom() - 1;
    // A region of one row has no smear; h rows start over (h - 1) line times, and each row's light
    // stands for its own instant, so the box that averages them is h - 1 + 1 line times wide only
    // in the limit of many rows.
    return {line * first, std::abs(line) * (stored.height - 1)};
}

} // namespace twinlamp::rig
