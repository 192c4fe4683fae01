// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/rig/check_onset.h"

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::rig {

/// Onset of one switching in one line of a lamp, as if all rows were exposed at once.
struct LineOnset
{
    double row = 0.0; ///< mean stored row of the line
    CheckOnset onset;
};

/// Lines of one lamp at one of its switchings.
using LampLines = std::vector<LineOnset>;

/// Line time of a rolling shutter, fitted.
struct LineTimeFit
{
    double lineTimeUs = 0.0; ///< negative: bottom row first
    double standardUs = 0.0;
    double degreesOfFreedom = 0.0;
    double halfWidthUs = 0.0; ///< 95 %
};

/// The line time from how the onsets run over the rows within the lamps: a row that is exposed
/// later sees the same switching earlier in its frame, so the onset falls by the line time from one
/// row to the next. The difference between the lamps does not enter: it would mix offset and skew.
///
/// Each switching of each lamp gives a slope by weighted least squares; the figure is the weighted
/// mean of the slopes, its uncertainty from their scatter (Student's t: neighbouring lines share
/// codec blocks, so their residuals say too little). Bounded onsets are left out.
///
/// @return nothing with fewer than 4 switchings that have 3 lines or more
/// Source: JCGM 100:2008, 4.2 and G.3 for the mean and its Student factor.
/// Tests:  tests/core/rig/line_time_test.cpp
[[nodiscard]] std::optional<LineTimeFit> fitLineTime(std::span<const LampLines> switchings);

} // namespace twinlamp::rig
