// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/clip_setting.h"

#include <optional>
#include <string>

namespace twinlamp::measure {

/// Why figures from a part of the frames may not be those of all of them, in words for the note
/// `sparse-not-proved`; nothing where no reason shows.
///
/// A figure is as good as from all frames where the analysis took its window from decoded frames
/// alone and nothing that is told from the clip as a whole (pulses, the room's light, motion on
/// the panel) has a say. Each of these is looked for with a lower threshold than the analysis has.
/// @param scan  what was read; it is not complete
/// Tests: tests/core/measure/sparse_measurement_test.cpp
[[nodiscard]] std::optional<std::string> sparseDoubt(
    const ClipSetting& setting, const RegionScan& scan, const AnalysedLight& analysed);

} // namespace twinlamp::measure
