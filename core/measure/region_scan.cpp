// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/region_scan.h"

#include "core/footage/frame_scan.h"
#include "core/measure/region_reader.h"

namespace twinlamp::measure {

using footage::PictureView;

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
        std::move(report.firstDecodeError)};
}

} // namespace twinlamp::measure
