// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"
#include "core/base/quad_px.h"
#include "core/base/sentence.h"
#include "core/base/units.h"

#include <optional>
#include <string>
#include <vector>

namespace twinlamp {

enum class RateSource : std::uint8_t
{
    Given,
    File,
    TimeBase
};
enum class ExposureSource : std::uint8_t
{
    Given,
    Estimated,
    Unknown
};
enum class LineTimeSource : std::uint8_t
{
    Given,
    Estimated, ///< from the rows within the reference lamp
    Unknown ///< no rows were corrected
};
enum class RegionSource : std::uint8_t
{
    Given,
    Located
};
enum class ScanMode : std::uint8_t
{
    Full,
    Sparse
};

/// The facts of one clip that its figures rest on.
struct ClipFacts
{
    std::string file;
    std::string sha256; ///< of the whole file, lower-case hex
    std::int64_t frames = 0;
    int widthPx = 0; ///< upright
    int heightPx = 0; ///< upright
    int rotationDeg = 0;
    double playRateHz = 0.0;
    FrameRate captureRate;
    RateSource captureRateSource = RateSource::Given;
    std::int64_t lostFrames = 0;
    std::optional<double> exposureMs;
    ExposureSource exposureSource = ExposureSource::Unknown;
    std::optional<double> lineTimeUs;
    LineTimeSource lineTimeSource = LineTimeSource::Unknown;
    bool operator==(const ClipFacts&) const = default;
};

struct RegionSet
{
    RectPx reference;
    RectPx goggle;
    std::optional<RectPx> panel;
    RegionSource source = RegionSource::Given;
    std::optional<QuadPx> panelCorners {}; ///< `panel` is then the rectangle around them
    bool operator==(const RegionSet&) const = default;
};

struct ScanFacts
{
    ScanMode mode = ScanMode::Full;
    std::int64_t framesDecoded = 0;
    double seconds = 0.0;
    double shortestHoldMs = 100.0; ///< what a sparse scan relied on
    bool operator==(const ScanFacts&) const = default;
};

/// Mean linear light of the regions, one value per shown frame. Unit: share of full scale, 0 to 1.
/// A frame that could not be decoded holds NaN: the one place where NaN stands for missing, because
/// the trace is plotted.
struct ClipTraces
{
    std::vector<RealTime> exposureStart; ///< of the stored picture's first row; strictly rising
    std::vector<float> reference;
    std::vector<float> goggle;
    std::vector<float> panel; ///< empty without a panel region

    [[nodiscard]] std::size_t frameCount() const { return exposureStart.size(); }

    bool operator==(const ClipTraces&) const = default;
};

/// Everything that the measurement of one clip says.
struct ClipResult
{
    ClipFacts clip;
    RegionSet regions;
    ScanFacts scan;
    std::vector<Press> presses;
    std::optional<PanelTiming> panelTiming;
    std::vector<Sentence> notes;
    ClipTraces traces;
};

} // namespace twinlamp
