// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/film/studio.h"

namespace twinlamp::film {

enum class TraceNoise : std::uint8_t
{
    None,
    Camera ///< the camera's noise on the mean of each region
};

/// Mean linear light of the regions (upright) in each shown frame, as if every frame had been
/// filmed, coded without loss and read: for checks that need thousands of presses. Light over full
/// scale is clipped pixel by pixel; the shake is left out; coloured light is weighted by the
/// luminance coefficients of the camera's primaries. Unit: share of full scale. Times are true
/// ones.
///
/// @param withPanel  also the panel's trace, which costs most of the time
[[nodiscard]] ClipTraces renderTraces(
    const Studio& studio, const RegionSet& regions, TraceNoise noise, bool withPanel);
[[nodiscard]] ClipTraces renderTraces(const Scene& scene);

} // namespace twinlamp::film
