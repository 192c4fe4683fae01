// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/rig/expanded_uncertainty.h"

#include "core/stats/special_functions.h"

#include <cmath>

namespace twinlamp::rig {

ExpandedUncertainty expandedUncertainty(std::span<const StandardPart> parts, double confidence)
{
    double squares = 0.0;
    double fourths = 0.0; // each over its degrees of freedom
    for (const StandardPart& part : parts) {
        const double square = part.standard * part.standard;
        squares += square;
        if (part.degreesOfFreedom) {
            fourths += square * square / *part.degreesOfFreedom;
        }
    }
    ExpandedUncertainty expanded;
    expanded.standard = std::sqrt(squares);
    const double probability = 0.5 * (1.0 + confidence);
    if (fourths > 0.0) {
        expanded.degreesOfFreedom = squares * squares / fourths;
    }
    const double factor = expanded.degreesOfFreedom
        ? stats::studentQuantile(*expanded.degreesOfFreedom, probability)
        : stats::normalQuantile(probability);
    expanded.halfWidth = factor * expanded.standard;
    return expanded;
}

} // namespace twinlamp::rig
