// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"

#include <optional>
#include <string>

namespace twinlamp::measure {

enum class EdgeChoice : std::uint8_t
{
    On,
    Off,
    Both
};

/// What a camera does to light before it is coded. Values: transfer_characteristics code points of
/// ITU-T H.273.
enum class TransferCurve : std::uint8_t
{
    Bt709 = 1,
    Gamma22 = 4,
    Gamma28 = 5,
    Linear = 8,
    Srgb = 13,
    Pq = 16,
    Hlg = 18
};

/// Which of the options came from the clip's rig and not from the tester: they are taken anew from
/// the rig before each measurement.
struct FromRig
{
    bool captureRate = false;
    bool exposure = false;
    bool lineTime = false;
    bool zero = false;
    /// ISO date of the check that the capture rate is from; empty: from no check.
    std::string timeBaseCheckDate;
    /// ISO date of the check that the zero correction is from; empty: from no check.
    std::string zeroCheckDate;
    bool shortestHold = false;
    bool operator==(const FromRig&) const = default;
};

/// Shortest hold that a sparse scan relies on where nobody states one.
inline constexpr double usualShortestHoldMs = 100.0;

/// What the tester knows about the clip. Empty: located, read from the file, estimated, or done
/// without (and said so). Lives in base because the session keeps the options of every clip.
struct MeasureOptions
{
    std::optional<RectPx> reference;
    std::optional<RectPx> goggle;
    std::optional<RectPx> panel;
    /// Of a panel that is seen turned or at an angle; `panel` is then the rectangle around them.
    std::optional<QuadPx> panelCorners;
    /// Do not look for a panel when none is given.
    bool withoutPanel = false;
    std::optional<FrameRate> captureRate;
    RateSource captureRateSource = RateSource::Given; ///< of `captureRate`
    /// 95 % half width of `captureRate`; nothing: not known, taken as exact.
    std::optional<double> captureRateUncertaintyHz;
    std::optional<double> exposureMs;
    /// Stored picture, negative: bottom row first; 0: all rows at once.
    std::optional<double> lineTimeUs;
    std::optional<TransferCurve> transfer; ///< in place of the file's tag
    std::optional<FrameRate> linkFrameRate; ///< of the link camera
    EdgeChoice edges = EdgeChoice::Both;
    double searchMs = 150.0;
    double zeroMs = 0.0; ///< correction to subtract
    double zeroUncertaintyMs = 0.0; ///< 95 % half width of it
    ScanMode scan = ScanMode::Full;
    std::optional<double> shortestHoldMs; ///< lit or dark; what a sparse scan relies on
    FromRig fromRig;
    int threads = 0; ///< 0: one per core
    bool operator==(const MeasureOptions&) const = default;

    /// The shortest hold that a sparse scan with these options relies on.
    [[nodiscard]] double reliedHoldMs() const
    {
        return shortestHoldMs.value_or(usualShortestHoldMs);
    }
};

} // namespace twinlamp::measure
