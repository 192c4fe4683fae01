// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/rig/camera_timing.h"

#include <cmath>

namespace twinlamp::rig {

RegionTiming regionTiming(const CameraTiming& camera, RectPx stored)
{
    const double line = std::abs(camera.lineTimeMs);
    const int rowsBefore
        = camera.lineTimeMs >= 0.0 ? stored.y : camera.storedRows - stored.bottom();
    // A region of one row has no smear; h rows start over (h - 1) line times, and each row's light
    // stands for its own instant, so the box that averages them is h - 1 + 1 line times wide only
    // in the limit of many rows.
    return {line * rowsBefore, line * (stored.height - 1)};
}

} // namespace twinlamp::rig
