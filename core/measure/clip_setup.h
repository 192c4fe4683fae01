// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/measure_options.h"
#include "core/base/result.h"
#include "core/footage/capture_clock.h"
#include "core/footage/frame_index.h"

#include <optional>
#include <vector>

/// What is settled about a clip before it is scanned; shared by the measurement and the rig checks.
namespace twinlamp::measure {

struct CaptureRate
{
    FrameRate rate;
    RateSource source = RateSource::Given;
};

/// The rate that is given, else the file's own tag.
/// @error Measure/NeedsCaptureRate  neither is there, or the tag contradicts the file's clock
[[nodiscard]] Result<CaptureRate> captureRate(
    const footage::ClipIndex& index, const MeasureOptions& options);

/// @param name  of the region, for the sentence
/// @error Measure/InvalidValue  it does not lie inside the picture
[[nodiscard]] Result<RectPx> checkedRegion(
    const footage::ClipIndex& index, RectPx upright, const char* name);

/// Why the exposure cannot be right: it cannot outlast its frame.
[[nodiscard]] std::optional<Error> exposureProblem(
    const footage::ClipIndex& index, const MeasureOptions& options, FrameRate rate);

/// Start of each frame's exposure, real time.
[[nodiscard]] std::vector<double> startTimesMs(
    const footage::CaptureClock& clock, std::int64_t frames);

} // namespace twinlamp::measure
