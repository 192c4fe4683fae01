// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/base/job_control.h"
#include "core/base/measure_options.h"
#include "core/base/result.h"
#include "core/footage/frame_index.h"
#include "core/trace/shift_px.h"

#include <optional>
#include <vector>

namespace twinlamp::measure {

struct DecidedRegions
{
    RegionSet set;
    bool isPanelLocated = false;
    std::vector<FrameIndex> seenIn; ///< pictures in which regions were located
};

/// Regions as given, the others located; says in `notes` what a report must.
/// @error Footage/… ; Measure/NotLocated
[[nodiscard]] JobResult<DecidedRegions> decideRegions(const footage::ClipIndex& index,
    const MeasureOptions& options, const JobControl& control, std::vector<Sentence>& notes);

/// What is wrong with regions: outside the picture, or two lamps at one place.
[[nodiscard]] std::optional<Error> regionProblem(
    const footage::ClipIndex& index, const RegionSet& regions);

/// Given regions are those of the clip's first picture, which the shake counts from; located ones
/// are moved back there, from pictures that lie `shift` away from it.
void moveToFirstPicture(
    const footage::ClipIndex& index, trace::ShiftPx shift, DecidedRegions& decided);

} // namespace twinlamp::measure
