// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"

#include <filesystem>
#include <vector>

namespace twinlamp::bench {

/// The straightforward way to a clip's light: every frame by OpenCV's video reader, converted to
/// grey, and the mean of two rectangles. Built only where OpenCV's videoio is installed.
/// @return two values a frame, code values; empty where the clip cannot be read
[[nodiscard]] std::vector<double> meansByOpenCv(
    const std::filesystem::path& clip, RectPx first, RectPx second);

} // namespace twinlamp::bench
