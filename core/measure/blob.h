// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"

#include <span>
#include <vector>

namespace twinlamp::measure {

/// Connected cells of a map, four neighbours each.
struct Blob
{
    std::vector<std::size_t> cells;
    RectPx box; ///< in cells
};

/// Cells of at least `threshold` that hang together with `seed`; empty where the seed itself is
/// below.
/// @param values  shape (rows x columns)
[[nodiscard]] Blob blobAround(
    std::span<const float> values, int columns, std::size_t seed, float threshold);

/// Box of a blob without its thin arms: rows and columns that hold less than `share` of the fullest
/// one are cut off.
[[nodiscard]] RectPx solidBox(const Blob& blob, int columns, double share);

} // namespace twinlamp::measure
