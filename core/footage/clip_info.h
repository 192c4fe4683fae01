// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"
#include "core/footage/picture.h"

#include <optional>
#include <string>

namespace twinlamp::footage {

/// What a container and its video stream say about themselves, before any frame is decoded.
struct ClipInfo
{
    std::string file; ///< path as given
    std::string container; ///< libavformat's short name
    std::string codec; ///< libavcodec's short name
    Orientation orientation;
    int bitDepth = 8;
    ColourDescription colour;
    std::int64_t timeBaseNum
        = 1; ///< one stream tick = timeBaseNum / timeBaseDen seconds of play time
    std::int64_t timeBaseDen = 1;
    std::int64_t sizeBytes = 0;
    std::int64_t modifiedNs = 0; ///< file modification time, ns since the epoch
    /// Capture rate from an open metadata tag (com.android.capture.fps), text or float.
    std::optional<FrameRate> taggedCaptureRate;
    /// Read-out time of a frame from an open metadata tag; line time = this / stored rows.
    std::optional<double> taggedReadOutUs;
    bool operator==(const ClipInfo&) const = default;
};

} // namespace twinlamp::footage
