// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/fill_in.h"

#include "core/footage/frame_scan.h"
#include "core/measure/region_reader.h"
#include "core/measure/sparse_plan.h"

#include <algorithm>
#include <array>
#include <iterator>
#include <span>

namespace twinlamp::measure {

using footage::PictureView;

namespace {

/// All that a frame has values in, where the camera is not followed.
constexpr std::array<std::vector<float> RegionLight::*, 8> valuesOfFrames {&RegionLight::reference,
    &RegionLight::referenceHigh, &RegionLight::referenceLines, &RegionLight::goggle,
    &RegionLight::goggleHigh, &RegionLight::goggleCells, &RegionLight::panelCells,
    &RegionLight::roomCells};

void takeFrames(const RegionLight& from, std::span<const char> frames, RegionLight& into)
{
    for (const auto values : valuesOfFrames) {
        const std::vector<float>& source = from.*values;
        const std::size_t each = source.size() / frames.size();
        for (std::size_t k = 0; k < frames.size(); ++k) {
            if (frames[k] != 0) {
                std::copy_n(source.begin() + static_cast<std::ptrdiff_t>(k * each), each,
                    (into.*values).begin() + static_cast<std::ptrdiff_t>(k * each));
            }
        }
    }
}

} // namespace

JobResult<RegionScan> fillIn(const footage::ClipIndex& index, const RegionRequest& request,
    const RegionScan& before, const JobControl& control, RegionScan& left)
{
    const footage::ScanOptions options {request.threads};
    const auto& orientation = index.info.orientation;
    const RectPx whole {0, 0, orientation.storedWidthPx, orientation.storedHeightPx};
    RegionRequest asked = request;
    asked.keepMap = false; // a map is of every frame, and those before are gone
    RegionReader reader(asked, whole, index.frameCount(), footage::scanThreads(options), {});
    std::vector<char> visited(before.decoded.size(), 0); // not bits: threads write side by side
    const auto scanned = footage::scanRanges(
        index, undecodedRanges(before.decoded),
        [&](FrameIndex frame, const PictureView& picture, int worker) {
            reader.visit(frame, picture, worker);
            visited[static_cast<std::size_t>(frame.value)] = 1;
        },
        options, control);
    if (scanned.isError()) {
        return scanned.error();
    }
    RegionScan both {reader.takeLight(), before.framesDecoded, before.missing,
        before.firstDecodeError, scanned.hasValue(), {}, {}};
    takeFrames(before.light, before.decoded, both.light);
    if (scanned.isCancelled()) {
        both.framesDecoded += std::ranges::count(visited, 1);
        std::ranges::transform(before.decoded, visited, std::back_inserter(both.decoded),
            [](char earlier, char now) { return static_cast<char>(earlier | now); });
        left = std::move(both);
        return Cancelled {};
    }
    const footage::ScanReport& report = scanned.value();
    both.framesDecoded += report.framesDecoded;
    std::ranges::copy(report.missing, std::back_inserter(both.missing));
    std::ranges::sort(both.missing);
    if (both.firstDecodeError.empty()) {
        both.firstDecodeError = report.firstDecodeError;
    }
    return both;
}

} // namespace twinlamp::measure
