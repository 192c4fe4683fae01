// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/base/measure_options.h"
#include "core/base/sentence.h"
#include "core/footage/capture_clock.h"
#include "core/footage/clip_info.h"
#include "core/footage/frame_index.h"
#include "core/measure/clip_analysis.h"
#include "core/measure/region_scan.h"

#include <vector>

namespace twinlamp::measure {

/// Everything about the clip that the analysis needs and the scan does not change.
struct ClipSetting
{
    const footage::ClipIndex& index;
    const MeasureOptions& options;
    const footage::CaptureClock& clock;
    RegionRequest stored;
    std::vector<double> startMs; ///< of each frame
};

/// What to read of the regions, in pixels of the stored picture.
[[nodiscard]] RegionRequest storedRegions(const RegionSet& regions,
    const footage::Orientation& orientation, const MeasureOptions& options);

/// The first `frames` frames, which are read. `light` must outlive what comes back.
[[nodiscard]] AnalysisInput analysisInput(
    const ClipSetting& setting, const RegionLight& light, std::size_t frames, bool withPanel);

[[nodiscard]] ClipTraces tracesOf(
    const ClipSetting& setting, const RegionLight& light, std::size_t frames, bool withPanel);

/// A clip's light as it is measured on, and what was found in it.
struct AnalysedLight
{
    RegionLight own; ///< without the room's light, where that varied
    Analysis analysis;
    std::vector<Sentence> roomNotes; ///< empty: the room's light was left in
};

[[nodiscard]] AnalysedLight analysedLight(const ClipSetting& setting, const RegionLight& read);

} // namespace twinlamp::measure
