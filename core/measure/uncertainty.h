// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"

#include <span>

namespace twinlamp::measure {

/// Root of the sum of squares of independent parts.
/// Source: JCGM 100:2008, 5.1.2, with sensitivities of 1 (every part is a time already).
[[nodiscard]] double combinedStandardMs(std::span<const UncertaintyPart> parts);

/// Half width of the 95 % interval of a combined standard uncertainty.
/// Coverage factor 1.96: the parts are known well enough that Student's factor would differ by less
/// than their own doubt.
[[nodiscard]] double halfWidth95Ms(std::span<const UncertaintyPart> parts);

} // namespace twinlamp::measure
