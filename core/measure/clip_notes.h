// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/measure_options.h"
#include "core/base/sentence.h"
#include "core/footage/capture_clock.h"
#include "core/footage/frame_index.h"
#include "core/measure/region_scan.h"

#include <cstdint>
#include <vector>

namespace twinlamp::measure {

/// What a result must say of lost and damaged frames.
void noteDamage(const footage::ClipIndex& index, const RegionScan& scan,
    const footage::CaptureClock& clock, std::vector<Sentence>& notes);

/// That the camera was held in the hand, where it was.
void noteShake(const RegionLight& light, std::vector<Sentence>& notes);

/// Which of the tester's word and of the rig's checks the figures rest on; that no zero check was
/// applied is noted elsewhere.
void noteChecks(const MeasureOptions& options, std::vector<Sentence>& notes);

/// That frames were left out, and by whose shortest hold.
void noteSparseScan(const MeasureOptions& options, std::int64_t framesRead, std::int64_t frames,
    std::vector<Sentence>& notes);

} // namespace twinlamp::measure
