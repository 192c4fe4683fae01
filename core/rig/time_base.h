// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/rig/check_onset.h"

#include <optional>
#include <span>

namespace twinlamp::rig {

/// One switching of the driven lamp. Times are on the clock of frame numbers at `assumedRateHz`.
struct TimeBaseEdge
{
    Edge edge = Edge::On;
    CheckOnset onset;
};

struct TimeBaseInput
{
    std::span<const TimeBaseEdge> edges; ///< in time order
    double assumedRateHz = 0.0; ///< that turned frame numbers into the edges' times
    std::optional<double> labelledRateHz; ///< what the rate should be, where someone says so
    double periodMs = 0.0; ///< from one switching on to the next, real time
    double periodHalfWidthMs = 0.0; ///< 95 %; 0: taken as exact
};

struct TimeBaseFit
{
    double captureRateHz = 0.0;
    double halfWidthHz = 0.0; ///< 95 %
    double scatterMs = 0.0; ///< of the onsets about the fit, real time
    int edges = 0;
    int cycles = 0; ///< from the first onset to the last
    int missing = 0; ///< switchings in between that were not seen
};

/// The true capture rate: onsets in frames against the number of the cycle, by weighted least
/// squares with one slope; on and off edges keep an intercept each, for the lit share of the cycle
/// is unknown. Cycles may be missing.
///
/// Parts of the uncertainty: the scatter about the line (Student's t), the exposure, the period,
/// and onsets that are only bounded (a lamp in step with the frames can fall between two exposures
/// each time: then all of them may err alike).
///
/// @error Rig/TooFew        fewer than 3 onsets of one kind
/// @error Rig/InvalidValue  the onsets are not one period apart, or the period contradicts the
///        labelled rate; the sentence says how far
/// Source: weighted least squares, closed form; JCGM 100:2008, 4.3.7, 5.1.2, G.4.
/// Tests:  tests/core/rig/time_base_test.cpp
[[nodiscard]] Result<TimeBaseFit> timeBaseRate(const TimeBaseInput& input);

} // namespace twinlamp::rig
