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

/// A region (upright) and the grid of cells that is read from it.
struct RegionGrid
{
    RectPx upright;
    int columns = 1; ///< of the stored picture
    int rows = 1;
    /// Pixels of each cell that are read, spread over it: they set its noise. 0: all.
    int samplesPerCell = 0;
};

/// Light of one region as the scan of a clip gives it, one value per shown frame.
struct RegionFilm
{
    std::vector<float> mean; ///< shape N
    std::vector<float> clipped; ///< shape N, share of pixels at full scale
    std::vector<float> cells; ///< shape N x (rows * columns), row by row of the stored picture
};

/// The same as renderTraces for one region and the cells of a grid over it.
/// @param number  tells apart the noise of several regions of a clip, 0 or more
/// @pre the region has at least a pixel for each cell
[[nodiscard]] RegionFilm renderRegion(
    const Studio& studio, const RegionGrid& grid, TraceNoise noise, std::int64_t number);

} // namespace twinlamp::film
