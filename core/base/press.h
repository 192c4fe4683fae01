// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/flag.h"
#include "core/base/units.h"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace twinlamp {

enum class Edge : std::uint8_t
{
    On,
    Off
};

/// Where a part of the uncertainty of a latency comes from (JCGM 100:2008: each part on its own).
enum class UncertaintySource : std::uint8_t
{
    ReferenceOnset,
    FirstLight,
    Exposure,
    CaptureRate,
    ZeroCorrection,
    LineTime,
    CameraResponse,
    LampResponse, ///< a reference lamp that does not switch at once
    HandCorrection
};

/// One part, as a standard uncertainty.
struct UncertaintyPart
{
    UncertaintySource source = UncertaintySource::ReferenceOnset;
    double standardMs = 0.0;
    /// The same error in every press of the clip (a wrong capture rate), not a new one each time
    /// (noise).
    bool commonToAll = false;
    /// How well `standardMs` itself is known (JCGM 100:2008, G.3); empty: as good as exactly.
    std::optional<double> degreesOfFreedom = std::nullopt;
    bool operator==(const UncertaintyPart&) const = default;
};

/// What the fitted model says about a stretch of a trace: draws it over the trace, and residuals.
struct ModelStretch
{
    std::int64_t firstFrame = 0;
    std::vector<float> light; ///< of the frames from firstFrame on, share of full scale
    bool operator==(const ModelStretch&) const = default;
};

/// One switching of the lamps and what followed on the goggle. Times that could not be measured are
/// empty.
struct Press
{
    int index = 0; ///< from 0, in time order over both edge kinds
    Edge edge = Edge::On;
    std::optional<RealTime> reference; ///< onset of the reference lamp
    std::optional<RealTime> firstLight; ///< goggle region has made 10 % of its step
    std::optional<RealTime> halfLight; ///< 50 %
    std::optional<RealTime> settled; ///< 90 %
    std::optional<RealTime> sweepStart; ///< first row of the panel changes
    std::optional<RealTime> fullFrame; ///< last row of the panel has changed
    std::optional<Latency> latency; ///< first light minus reference, after the corrections
    std::optional<Latency> fullFrameLatency;
    /// 95 % half width of `latency`; there whenever `latency` is.
    std::optional<Latency> uncertainty;
    std::vector<UncertaintyPart> parts;
    bool accepted = true;
    Flags flags;
    /// Light of both regions before and after the edge, share of full scale: draws the model over
    /// the trace.
    double referenceBefore = 0.0;
    double referenceAfter = 0.0;
    double goggleBefore = 0.0;
    double goggleAfter = 0.0;
    ModelStretch referenceModel; ///< empty where nothing was fitted
    ModelStretch goggleModel;
    bool operator==(const Press&) const = default;
};

/// Leaves the press out of every figure, for a reason that is printed with it: the only way in
/// which the program does so. @pre canSetAside(reason)
void setAside(Press& press, Flag reason);

/// Why the program set the press aside; empty for one that counts, and for one that was set aside
/// by hand only.
[[nodiscard]] Flags reasonsSetAside(const Press& press);

/// Every flag that one of the presses carries, each once, in the order of the flags.
[[nodiscard]] Flags flagsOf(const std::vector<Press>& presses);

enum class SweepDirection : std::uint8_t
{
    Down,
    Up,
    LeftToRight,
    RightToLeft,
    AllAtOnce
};

/// How the panel renews its picture, over a whole clip.
struct PanelTiming
{
    std::optional<Latency> scan;
    std::optional<SweepDirection> direction;
    std::optional<Latency> newFrameInterval;
    std::optional<double> newFrameUncertaintyMs; ///< 95 % half width
    std::optional<Latency> refreshInterval;
    std::optional<double> heldShare; ///< 0 to 1
    std::optional<Latency> longestHeld;
    std::vector<std::string> signs; ///< what the figures rest on
    bool operator==(const PanelTiming&) const = default;
};

/// Doubts of the panel's own figures: `one-sign` where the new-frame interval, or the refresh
/// interval of a panel that shows no new-frame interval, rests on a single sign.
[[nodiscard]] Flags panelDoubts(const PanelTiming& timing);

} // namespace twinlamp
