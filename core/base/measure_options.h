// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"

#include <optional>

namespace twinlamp::measure {

enum class EdgeChoice : std::uint8_t
{
    On,
    Off,
    Both
};

/// What the tester knows about the clip. Empty: located, read from the file, estimated, or done
/// without (and said so). Lives in base because the session keeps the options of every clip.
struct MeasureOptions
{
    std::optional<RectPx> reference;
    std::optional<RectPx> goggle;
    std::optional<RectPx> panel;
    /// Do not look for a panel when none is given.
    bool withoutPanel = false;
    std::optional<FrameRate> captureRate;
    RateSource captureRateSource = RateSource::Given; ///< of `captureRate`
    std::optional<double> exposureMs;
    std::optional<double> lineTimeUs; ///< stored picture, negative: bottom row first
    std::optional<FrameRate> linkFrameRate; ///< of the link camera
    EdgeChoice edges = EdgeChoice::Both;
    double searchMs = 150.0;
    double zeroMs = 0.0; ///< correction to subtract
    double zeroUncertaintyMs = 0.0; ///< 95 % half width of it
    ScanMode scan = ScanMode::Full;
    double shortestHoldMs = 100.0;
    int threads = 0; ///< 0: one per core
    bool operator==(const MeasureOptions&) const = default;
};

} // namespace twinlamp::measure
