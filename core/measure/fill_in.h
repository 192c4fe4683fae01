// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/footage/frame_index.h"
#include "core/measure/region_scan.h"

namespace twinlamp::measure {

/// Decodes the frames that a scan of the same regions left out and takes the light of the others
/// over: to the bit what a scan of all frames reads.
///
/// Frames that were damaged are not tried again. Neighbours of what is left out may be decoded once
/// more, as a decoder starts at keyframes.
/// @param before  not complete, and of a camera that was not followed
/// @param left    where it is stopped: what is read by then, to go on from; else untouched
/// @return `framesDecoded` and `missing` of both scans together
/// @error Footage/…
/// Tests: tests/core/measure/fill_in_test.cpp
[[nodiscard]] JobResult<RegionScan> fillIn(const footage::ClipIndex& index,
    const RegionRequest& request, const RegionScan& before, const JobControl& control,
    RegionScan& left);

} // namespace twinlamp::measure
