// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/region_scan.h"

#include "core/footage/frame_scan.h"
#include "core/measure/region_reader.h"

namespace twinlamp::measure {

using footage::PictureView;

std::int64_t lightBytesPerFrame(const RegionRequest& request)
{
    constexpr std::int64_t lampBytes = 8; // light and the share of clipped pixels
    constexpr std::int64_t valueBytes = 4;
    const auto grid = [](bool isAsked, int columns, int rows) {
        return isAsked ? valueBytes * columns * rows : 0;
    };
    return (request.reference ? lampBytes : 0) + (request.goggle ? lampBytes : 0)
        + grid(request.reference && request.referenceRows > 1, 1, request.referenceRows)
        + grid(request.goggle.has_value(), request.goggleColumns, request.goggleRows)
        + grid(request.panel.has_value(), request.panelColumns, request.panelRows)
        + grid(request.room, request.roomColumns, request.roomRows);
}

JobResult<RegionScan> scanRegions(const footage::ClipIndex& index, const RegionRequest& request,
    const ScanProgress& progress, const JobControl& control)
{
    const footage::ScanOptions options {request.threads};
    const auto& orientation = index.info.orientation;
    const RectPx whole {0, 0, orientation.storedWidthPx, orientation.storedHeightPx};
    RegionReader reader(
        request, whole, index.frameCount(), footage::scanThreads(options), progress);
    auto scanned = footage::scanFrames(
        index, index.all(),
        [&](FrameIndex frame, const PictureView& picture, int worker) {
            reader.visit(frame, picture, worker);
        },
        options, control);
    if (scanned.isCancelled()) {
        return Cancelled {};
    }
    if (scanned.isError()) {
        return scanned.error();
    }
    footage::ScanReport report = std::move(scanned).value();
    return RegionScan {reader.takeLight(), report.framesDecoded, std::move(report.missing),
        std::move(report.firstDecodeError), true, reader.map()};
}

} // namespace twinlamp::measure
