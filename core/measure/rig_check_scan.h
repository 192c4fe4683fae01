// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/clip_setup.h"
#include "core/measure/lamp_lines.h"
#include "core/measure/region_scan.h"
#include "core/measure/rig_checks.h"

#include <vector>

namespace twinlamp::measure {

/// Lines of a lamp that are read apart in a rig check: each a few rows high.
inline constexpr int checkLines = 12;

/// One lamp as the scan saw it.
struct LampScan
{
    RectPx stored;
    std::vector<float> light; ///< shape N
    std::vector<float> high; ///< shape N, share of clipped pixels
    std::vector<LampLine> lines; ///< at least one
};

/// A clip read for a rig check.
struct CheckScan
{
    std::vector<LampScan> lamps; ///< reference, then goggle
    std::vector<double> startMs; ///< at the rate of `clip`
    std::vector<std::size_t> framesAfterGaps;
    int storedRows = 0;
    ClipFacts clip;
    std::vector<RectPx> regions; ///< upright, in the order of the lamps
    RegionSource regionSource = RegionSource::Given;
    bool rateAssumed = false; ///< nobody vouches for the capture rate of `clip`
    std::vector<Sentence> notes;
};

/// Reads the lamps of a check, located where they are not given.
/// @param lampCount     1 or 2
/// @param mayAssumeRate with no capture rate given or in the file, the play rate serves
/// @error as zeroCheck
[[nodiscard]] JobResult<CheckScan> scanForCheck(const std::filesystem::path& clip,
    const MeasureOptions& options, std::size_t lampCount, bool mayAssumeRate,
    const JobControl& control);

} // namespace twinlamp::measure
