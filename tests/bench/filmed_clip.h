// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"

#include <filesystem>

namespace twinlamp::bench {

struct FilmedClip
{
    std::filesystem::path file;
    RegionSet regions; ///< as filmed
    FrameRate captureRate;
};

/// A minute of real time at 240 frames a second, 1080p H.264, GOP 30, 40 kB a frame: 30 presses of
/// about a second. Six times the same ten seconds, filmed once and kept in the system's folder for
/// temporary files (twinlamp-bench). Ends the program where it cannot be made.
[[nodiscard]] FilmedClip minuteOfPresses();

} // namespace twinlamp::bench
