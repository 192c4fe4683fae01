// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/measure/clip_setting.h"

#include <vector>

namespace twinlamp::measure {

/// A clip's light, read where the lamps switch or read whole after all.
struct SparseMeasurement
{
    RegionScan scan; ///< isComplete: every frame was decoded
    AnalysedLight analysed;
    std::vector<Sentence> notes;
    double scanSeconds = 0.0; ///< the analysis apart
};

/// Whether leaving frames out would spare enough of the decoding to be worth it: a property of the
/// clip's keyframes and the shortest hold alone.
[[nodiscard]] bool isSparseScanWorthIt(const ClipSetting& setting);

/// Decodes a clip where its lamps can have switched, and analyses it.
///
/// Two decoded frames are never as far apart as the shortest hold; where the lamps differ from one
/// to the next, all between them is decoded, and around each switching all that its figures rest
/// on. The rest is decoded as well where it might matter: see sparseDoubt(). So the presses are
/// those of a full scan unless a hold was shorter than stated.
/// @param progress  hears of the first way through the clip; NaN where a frame is left out
/// @error Footage/…
/// Tests: tests/core/measure/sparse_measurement_test.cpp
[[nodiscard]] JobResult<SparseMeasurement> measureSparsely(
    const ClipSetting& setting, const JobControl& control, ScanProgress progress = {});

} // namespace twinlamp::measure
