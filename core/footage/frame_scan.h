// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/footage/frame_index.h"
#include "core/footage/picture.h"

#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace twinlamp::footage {

/// Called once per decoded frame of the range, from worker threads, in no promised order across
/// threads. `worker` in [0, threads) tells which thread, for scratch memory. The view is valid
/// during the call only.
using VisitFrame = std::function<void(FrameIndex frame, const PictureView& picture, int worker)>;

struct ScanOptions
{
    int threads = 0; ///< 0: one per core
};

struct ScanReport
{
    std::int64_t framesDecoded
        = 0; ///< pictures that came out of decoders, those outside the range included
    std::vector<FrameIndex> missing; ///< frames of the range that could not be decoded, ascending
    std::string firstDecodeError; ///< empty where none
};

/// Decodes every frame of `range` once: runs of GOPs, one single-thread decoder per core, dealt
/// from the front of the clip in runs that are short at first, so that the earliest frames come
/// soon (ScanDeal); frame threads where there are fewer GOPs than cores. A run is decoded past its
/// next keyframe until its last frame is out (open GOPs). No conversion, no copy. A damaged packet
/// costs the frames that depend on it, which are listed in `missing`. Number of threads used:
/// `scanThreads`.
/// @error Footage/… when the clip cannot be opened at all
[[nodiscard]] JobResult<ScanReport> scanFrames(const ClipIndex& index, FrameRange range,
    const VisitFrame& visit, const ScanOptions& options, const JobControl& control);

/// The same for some ranges of a clip, each decoded from the keyframe before it.
/// @error as scanFrames
[[nodiscard]] JobResult<ScanReport> scanRanges(const ClipIndex& index,
    std::span<const FrameRange> ranges, const VisitFrame& visit, const ScanOptions& options,
    const JobControl& control);

/// Adds what a part of a scan reports to the whole.
void addReport(const ScanReport& part, ScanReport& whole);

/// Threads that a scan with these options uses.
[[nodiscard]] int scanThreads(const ScanOptions& options);

} // namespace twinlamp::footage
