// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/measure_options.h"
#include "core/base/result.h"
#include "core/footage/frame_index.h"
#include "core/trace/light_map.h"
#include "core/trace/shift_finder.h"

#include <functional>
#include <memory>
#include <optional>
#include <vector>

namespace twinlamp::measure {

/// Regions to read, in pixels of the stored picture. Empty ones are not read.
struct RegionRequest
{
    std::optional<RectPx> reference;
    std::optional<RectPx> goggle;
    std::optional<RectPx> panel;
    std::optional<QuadPx> panelCorners; ///< `panel` is then the rectangle around them
    int referenceRows = 1; ///< lines of the reference region that are read apart
    int goggleColumns = 1;
    int goggleRows = 1;
    int panelColumns = 12;
    int panelRows = 12;
    bool room = false; ///< read the whole picture's light, coarsely
    int roomColumns = 16;
    int roomRows = 12;
    bool keepMap = false; ///< read a coarse light map of the whole picture as well
    int threads = 0;
    std::optional<TransferCurve> transfer; ///< in place of the one that the pictures name
    /// Follows a camera that was held in the hand; null: the regions stand still.
    std::shared_ptr<const trace::ShiftFinder> follow;
};

/// Light of the regions in every frame; NaN where a frame could not be decoded. Empty where not
/// asked for. Memory: lightBytesPerFrame().
struct RegionLight
{
    std::vector<float> reference;
    std::vector<float> referenceHigh; ///< share of clipped pixels
    std::vector<float> referenceLines; ///< frame after frame; empty for one line
    std::vector<float> goggle;
    std::vector<float> goggleHigh;
    std::vector<float> goggleCells; ///< frame after frame, row by row
    std::vector<float> panelCells; ///< frame after frame, row by row
    std::vector<float> roomCells; ///< of a coarse grid over the picture, frame after frame
    std::vector<trace::ShiftPx> shift; ///< of every frame where the picture was followed; NaN
                                       ///< where it was not recognised, and the light with it
};

struct RegionScan
{
    RegionLight light;
    std::int64_t framesDecoded = 0;
    std::vector<FrameIndex> missing;
    std::string firstDecodeError;
    bool isComplete = true; ///< false: some frames were left out, and hold NaN
    /// Of every frame; null where none was asked for, or not every frame has its row.
    std::shared_ptr<const trace::LightMap> map = {};
    std::vector<char> decoded = {}; ///< of each frame; empty where it is complete
};

/// Memory that the light of a scan takes for each frame: 16 bytes for the lamps, 4 for each line of
/// the reference region and each cell of the grids. 1984 with all that a measurement asks for.
[[nodiscard]] std::int64_t lightBytesPerFrame(const RegionRequest& request);

/// Four minutes of 1080p at 240 frames/s; the scans of two clips stay in memory. A longer clip has
/// no light map, so that each look at it decodes.
inline constexpr std::int64_t mostMapBytes = std::int64_t {1} << 28;

/// Called now and then from a worker thread, one call at a time: the frames [0, complete) are
/// there.
using ScanProgress = std::function<void(const RegionLight& light, std::int64_t complete)>;

/// Reads all regions in one pass over the clip, without converting or copying pictures.
/// @error Footage/…
[[nodiscard]] JobResult<RegionScan> scanRegions(const footage::ClipIndex& index,
    const RegionRequest& request, const ScanProgress& progress, const JobControl& control);

} // namespace twinlamp::measure
