// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

namespace twinlamp::trace {

/// Standard deviation of a trace's frame-to-frame noise, insensitive to steps and slow
/// drift: 1.4826 times the median absolute first difference, over sqrt(2). NaN values are left out.
///
/// @param light  one value per frame
/// @return unit as `light`; 0 for fewer than three values
/// Source: normal consistency factor of the median absolute deviation, 1/Phi^-1(3/4) = 1.4826.
[[nodiscard]] double frameNoise(std::span<const float> light);

/// Median of the finite values, 0 where there is none.
[[nodiscard]] double medianOf(std::span<const double> values);

} // namespace twinlamp::trace
