// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>

namespace twinlamp::measure {

/// Whether light flickers with the mains: 100 Hz (50 Hz mains) or 120 Hz (60 Hz mains), with its
/// first harmonic, where that explains more than half of what varies faster than a tenth of a
/// second. The frequency may be off by 1 %.
///
/// @param startMs  real time of each value; at least a fifth of a second is needed
/// @return 100 or 120; nothing where it is neither
[[nodiscard]] std::optional<double> mainsFlickerHz(
    std::span<const double> startMs, std::span<const double> light);

} // namespace twinlamp::measure
