// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/footage/frame_index.h"
#include "core/measure/region_scan.h"

#include <memory>

namespace twinlamp::measure {

struct HandShake
{
    /// Follows the picture through the clip; null for a camera that stood still, or where the
    /// picture has too little to hold on to.
    std::shared_ptr<const trace::ShiftFinder> follow;
    trace::ShiftPx shift; ///< mean over the pictures asked for
};

/// Decides from a few pictures spread over a clip whether the camera was held in the hand.
///
/// Shifts count from the clip's first picture. Keyframes are taken where there are enough of them,
/// since each costs one decoded picture; else pictures of the clip's beginning.
/// @param regions  where lamps and panel are, roughly
/// @param askedFor  pictures whose mean shift is wanted besides
/// @error Footage/… ; tests: tests/core/measure/hand_shake_test.cpp
[[nodiscard]] JobResult<HandShake> findHandShake(const footage::ClipIndex& index,
    const RegionRequest& regions, const std::vector<FrameIndex>& askedFor,
    const JobControl& control);

} // namespace twinlamp::measure
