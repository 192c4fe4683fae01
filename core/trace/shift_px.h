// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace twinlamp::trace {

/// How far a picture's content lies from where it lies in another picture: what is at (X, Y) there
/// is at (X + x, Y + y) here. Unit: pixels of the stored picture, fractions count.
struct ShiftPx
{
    double x = 0.0;
    double y = 0.0;
    bool operator==(const ShiftPx&) const = default;
};

} // namespace twinlamp::trace
