// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/clip_setup.h"

#include <spdlog/fmt/fmt.h>

namespace twinlamp::measure {

using footage::CaptureClock;
using footage::ClipIndex;

Result<CaptureRate> captureRate(const ClipIndex& index, const MeasureOptions& options)
{
    if (options.captureRate) {
        return CaptureRate {*options.captureRate, options.captureRateSource};
    }
    const double play = footage::playRateHz(index);
    if (!index.info.taggedCaptureRate) {
        return fail(Stage::Measure, Cause::NeedsCaptureRate,
            fmt::format("{}: the capture rate is neither given nor in the file (its own clock runs "
                        "at {:.3f} frames per "
                        "second); give the camera's frames per second of real time, for example "
                        "--capture-rate 240",
                index.info.file, play));
    }
    const FrameRate tagged = *index.info.taggedCaptureRate;
    constexpr double clearlySlower = 0.9;
    if (tagged.hz() < clearlySlower * play) {
        return fail(Stage::Measure, Cause::NeedsCaptureRate,
            fmt::format("{}: the file's capture-rate tag says {:.3f} Hz but its frames play at "
                        "{:.3f} Hz, which cannot both "
                        "be true; give the real one with --capture-rate",
                index.info.file, tagged.hz(), play));
    }
    return CaptureRate {tagged, RateSource::File};
}

Result<RectPx> checkedRegion(const ClipIndex& index, RectPx upright, const char* name)
{
    const auto& orientation = index.info.orientation;
    const RectPx picture {0, 0, orientation.uprightWidthPx(), orientation.uprightHeightPx()};
    if (upright.isEmpty() || intersection(upright, picture) != upright) {
        return fail(Stage::Measure, Cause::InvalidValue,
            fmt::format("{}: the {} region {},{},{},{} does not lie inside the picture of {} x {} "
                        "pixels; give X,Y,W,H of the "
                        "upright picture",
                index.info.file, name, upright.x, upright.y, upright.width, upright.height,
                picture.width, picture.height));
    }
    return upright;
}

std::optional<Error> exposureProblem(
    const ClipIndex& index, const MeasureOptions& options, FrameRate rate)
{
    constexpr double rounding = 1.001;
    if (!options.exposureMs || *options.exposureMs <= rounding * rate.intervalMs()) {
        return std::nullopt;
    }
    return Error {Stage::Measure, Cause::InvalidValue,
        fmt::format("{}: an exposure of {:.3f} ms is longer than a frame at {:.3f} frames/s "
                    "({:.3f} ms); correct --exposure or --capture-rate, or leave the exposure out",
            index.info.file, *options.exposureMs, rate.hz(), rate.intervalMs())};
}

std::vector<double> startTimesMs(const CaptureClock& clock, std::int64_t frames)
{
    std::vector<double> start;
    start.reserve(static_cast<std::size_t>(frames));
    for (std::int64_t k = 0; k < frames; ++k) {
        start.push_back(toMs(clock.toReal({k})));
    }
    return start;
}

} // namespace twinlamp::measure
