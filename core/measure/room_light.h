// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/sentence.h"
#include "core/measure/lamp_free.h"

#include <vector>

namespace twinlamp::measure {

/// Removes what the room's lamps add to the regions: mains flicker and slow drift.
///
/// A lamp-free part of the picture gives the room's light b(t): cells clear of all regions that do
/// not step with the lamps, near the region's own rows, so that a rolling shutter shows them the
/// same instant. Each region's light is own light + k (b(t) - mean b); k is fitted within the
/// stretches between the lamps' edges, each with a level of its own, so that steps of the lamps
/// have no say. It is removed only where
/// - two halves of the lamp-free part agree that the room's light varies at all,
/// - k is told from zero by 5 of its standard errors (jackknife over the stretches, which also
///   covers noise that is not white) and matters against the noise,
/// - k is the same while the lamp is lit and dark: otherwise it is not light that is added.
/// All else is left as it was, to the bit.
///
/// @param light  compensated in place
/// @return what the result must say; empty where nothing was changed
/// Tests: tests/core/measure/room_light_test.cpp
[[nodiscard]] std::vector<Sentence> removeRoomLight(
    const RoomView& view, const RegionRequest& regions, RegionLight& light);

/// Whether the compensation may have something to remove if it saw more frames: asked with lower
/// thresholds. True where lamps that switch are missing.
/// @param light  not changed
[[nodiscard]] bool roomMayMatter(
    const RoomView& view, const RegionRequest& regions, RegionLight& light);

} // namespace twinlamp::measure
