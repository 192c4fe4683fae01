// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/uncertainty.h"

#include <cmath>

namespace twinlamp::measure {

double combinedStandardMs(std::span<const UncertaintyPart> parts)
{
    double squares = 0.0;
    for (const UncertaintyPart& part : parts) {
        squares += part.standardMs * part.standardMs;
    }
    return std::sqrt(squares);
}

double halfWidth95Ms(std::span<const UncertaintyPart> parts)
{
    constexpr double coverageFactor = 1.959963984540054;
    return coverageFactor * combinedStandardMs(parts);
}

} // namespace twinlamp::measure
