// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

namespace twinlamp::session {

/// A latency that the goggle displayed about itself at one press, as the tester typed it in.
struct PressReadout
{
    int press = 0; ///< Press::index in the measurement
    double latencyMs = 0.0;
    bool operator==(const PressReadout&) const = default;
};

/// One that was noted for a link setting as a whole.
struct SettingReadout
{
    double latencyMs = 0.0;
    std::string note; ///< the tester's words, or empty
    bool operator==(const SettingReadout&) const = default;
};

} // namespace twinlamp::session
