// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

namespace twinlamp::trace {

/// |sum of values exp(2 pi i t perMs)|^2: how much of a frequency is in values at any instants, in
/// the square of their unit.
/// @param values  shape N
/// @param timeMs  shape N
/// @param perMs   frequency, 1/ms
/// Source: definition of the periodogram (A. Schuster 1898, from memory).
[[nodiscard]] double powerAt(
    std::span<const double> values, std::span<const double> timeMs, double perMs);

} // namespace twinlamp::trace
