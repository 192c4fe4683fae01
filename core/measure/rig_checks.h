// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/base/job_control.h"
#include "core/base/measure_options.h"
#include "core/base/result.h"
#include "core/base/rig_check.h"

#include <filesystem>
#include <optional>

namespace twinlamp::measure {

/// A rig check of one clip, and what it rests on.
struct CheckedClip
{
    CheckResult result;
    ClipFacts clip; ///< the capture rate is the assumed one where none is known
    RectPx reference; ///< upright; the lamp of a time-base check
    std::optional<RectPx> goggle; ///< upright; zero check only
    RegionSource regionSource = RegionSource::Given;
};

/// Zero check: both lamps in direct view, switched together a few times. Finds the difference
/// between the lamps, corrected for their rows, and, where the rows within the lamps tell it, the
/// line time. Of the options count: reference, goggle (both located when one is left out; then the
/// left lamp is the reference), captureRate, exposureMs, lineTimeUs, threads.
///
/// The fitted line time counts where the row correction that it makes is known to a tenth of a
/// frame interval; else, and with no line time given, the difference holds the row skew (flag
/// row-skew-inside).
/// @error Footage/…; Measure/NeedsCaptureRate, InvalidValue, NotLocated; Measure/NoPress
/// Tests: tests/core/measure/rig_checks_test.cpp
[[nodiscard]] JobResult<CheckedClip> zeroCheck(
    const std::filesystem::path& clip, const MeasureOptions& options, const JobControl& control);

/// How the lamp of a time-base check is driven.
struct LampPeriod
{
    double ms = 0.0; ///< a whole on-off cycle, real time
    double halfWidthMs = 0.0; ///< 95 %; 0: taken as exact
};

/// Time-base check: a lamp driven with a known period. Of the options count: reference (located
/// when left out), captureRate (the label that the check compares with), exposureMs, lineTimeUs,
/// threads.
/// @error Footage/…; Measure/InvalidValue, NotLocated; Measure/NoPress; Rig/TooFew, InvalidValue
[[nodiscard]] JobResult<CheckedClip> timeBaseCheck(const std::filesystem::path& clip,
    const MeasureOptions& options, const LampPeriod& period, const JobControl& control);

} // namespace twinlamp::measure
