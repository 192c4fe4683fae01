// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"

namespace twinlamp::rig {

/// When one lamp switched, as a rig check uses it.
struct CheckOnset
{
    double timeMs = 0.0;
    double standardMs = 0.0; ///< of noise and of what the camera cannot see
    /// How much later it would be, were the camera's exposure one standard uncertainty longer.
    double exposureShiftMs = 0.0;
    /// The instant is only known to lie within +-sqrt(3) standardMs (between two exposures, or a
    /// clipped lamp): errors of neighbouring switchings can then be alike.
    bool isBounded = false;
    bool operator==(const CheckOnset&) const = default;
};

} // namespace twinlamp::rig
