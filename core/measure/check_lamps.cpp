// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/check_lamps.h"

#include "core/measure/lamp_onsets.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <spdlog/fmt/fmt.h>
#include <utility>

namespace twinlamp::measure {

using onset::TimedTrace;

namespace {

// Frames at either end of the clip, and around a gap, in which an edge has no clean levels.
constexpr std::size_t marginFrames = 3;
constexpr std::size_t tellingEdges = 8;

TimedTrace traceOf(const CheckScan& scan, std::span<const float> light,
    const rig::CameraTiming& camera, const rig::RegionTiming& rows)
{
    return {light, scan.startMs, camera, rows};
}

rig::CameraTiming cameraOf(const CheckScan& scan, double exposureMs, double lineTimeUs)
{
    rig::CameraTiming camera;
    camera.frameIntervalMs = scan.clip.captureRate.intervalMs();
    camera.exposureMs = std::min(exposureMs, camera.frameIntervalMs);
    camera.lineTimeMs = lineTimeUs * 1e-3;
    camera.storedRows = scan.storedRows;
    return camera;
}

/// The line that steps most: its rows are exposed nearly at once, so its partly lit frames tell the
/// exposure whatever the line time.
std::span<const float> strongestLine(const LampScan& lamp)
{
    return std::ranges::max_element(lamp.lines, {}, rangeOf)->light;
}

bool isClean(const CheckScan& scan, const onset::CoarseEdge& edge)
{
    const std::size_t frames = scan.startMs.size();
    const bool nearGap = std::ranges::any_of(scan.framesAfterGaps, [&](std::size_t after) {
        return edge.frame + marginFrames >= after && edge.frame <= after + marginFrames;
    });
    return !nearGap && edge.frame >= marginFrames && edge.frame + marginFrames < frames;
}

} // namespace

Exposure exposureOf(const CheckScan& scan, const std::optional<double>& givenMs)
{
    if (givenMs) {
        return {*givenMs, 0.0, ExposureSource::Given};
    }
    const LampScan& lamp = scan.lamps.front();
    TimedTrace trace = traceOf(scan, strongestLine(lamp), cameraOf(scan, 0.0, 0.0), {});
    const LampOnsets onsets = lampOnsets(trace, lamp.high);
    const auto& estimate = onsets.exposure;
    return {trace.camera.exposureMs, estimate ? estimate->standardMs : 0.0,
        estimate && estimate->edges >= tellingEdges ? ExposureSource::Estimated
                                                    : ExposureSource::Unknown};
}

LampTimes timesOf(const CheckScan& scan, const LampScan& lamp, const Exposure& exposure,
    double lineTimeUs, bool withLines)
{
    const rig::CameraTiming camera = cameraOf(scan, exposure.ms, lineTimeUs);
    rig::RegionTiming rows = rig::regionTiming(camera, lamp.stored);
    const double geometric = lamp.stored.y + 0.5 * (lamp.stored.height - 1);
    rows.firstRowMs += camera.lineTimeMs * (middleRow(lamp.lines, lamp.stored) - geometric);
    TimedTrace trace = traceOf(scan, lamp.light, camera, rows);
    const LampOnsets found = lampOnsets(trace, lamp.high);
    const auto onsets = checkOnsets(trace, found, exposure);
    auto lines = withLines ? lineOnsets(trace, lamp.lines, found, exposure)
                           : std::vector<rig::LampLines>(onsets.size());
    LampTimes times;
    for (std::size_t i = 0; i < onsets.size(); ++i) {
        times.isClipped = times.isClipped || found.onsets[i].clipped;
        if (onsets[i] && isClean(scan, found.onsets[i].edge)) {
            times.switchings.push_back({found.onsets[i].edge, *onsets[i], std::move(lines[i])});
        }
    }
    return times;
}

Error named(Error error, const CheckScan& scan)
{
    error.detail = scan.clip.file + ": " + error.detail;
    return error;
}

Error noPress(const CheckScan& scan)
{
    return {Stage::Measure, Cause::NoPress,
        scan.clip.file
            + " shows no switching of the lamps; check their regions (--reference, --goggle) and "
              "that the clip holds presses"};
}

void noteExposure(const Exposure& exposure, CheckedClip& checked)
{
    checked.clip.exposureSource = exposure.source;
    if (exposure.source != ExposureSource::Unknown) {
        checked.clip.exposureMs = exposure.ms;
    }
    if (exposure.source == ExposureSource::Estimated) {
        checked.result.notes.push_back(
            {"exposure-estimated", {fmt::format("{:.3f}", exposure.ms)}});
    } else if (exposure.source == ExposureSource::Unknown) {
        checked.result.notes.push_back({"exposure-unknown", {}});
        addFlag(checked.result.flags, Flag::ExposureUnknown);
    }
}

CheckedClip startOf(const CheckScan& scan)
{
    CheckedClip checked;
    checked.clip = scan.clip;
    checked.reference = scan.regions.front();
    checked.regionSource = scan.regionSource;
    checked.result.file = std::filesystem::path(scan.clip.file).filename().string();
    checked.result.sha256 = scan.clip.sha256;
    checked.result.notes = scan.notes;
    return checked;
}

} // namespace twinlamp::measure
