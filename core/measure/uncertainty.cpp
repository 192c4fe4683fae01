// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/uncertainty.h"

#include "core/base/coverage.h"
#include "core/rig/expanded_uncertainty.h"

#include <algorithm>
#include <cmath>
#include <vector>

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
    std::vector<rig::StandardPart> all;
    for (const UncertaintyPart& part : parts) {
        all.push_back({part.standardMs, part.degreesOfFreedom});
    }
    return rig::expandedUncertainty(all).halfWidth;
}

double firstPictureStandardMs(
    const onset::AnswerFit& fit, const onset::StepShape& shape, double frameIntervalMs)
{
    if (fit.delayMs == 0.0) {
        return 0.0;
    }
    // Decoding and camera response leave this much of the share open even without noise.
    constexpr double leastShareDeviation = 0.004;
    const double lit = std::max(1.0, fit.delayMs / frameIntervalMs);
    const double deviation = std::hypot(leastShareDeviation,
        correlatedNoiseFactor * fit.residual() / (std::abs(fit.step()) * std::sqrt(lit)));
    const double time = crossingMs(fit, shape, 0.1);
    const auto moved = [&](double share, double slope) {
        onset::AnswerFit other = fit;
        other.first += share * fit.step();
        other.second -= share * fit.step();
        other.split.slope = std::max(0.0, other.split.slope + slope);
        return std::abs(crossingMs(other, shape, 0.1) - time);
    };
    constexpr double wellOutside = 2.5;
    for (const double side : {-wellOutside, wellOutside}) {
        const double jump = moved(side * deviation, 0.0);
        if (jump > 0.5 * fit.delayMs) {
            return jump / coverageFactor95;
        }
    }
    // How unevenly the rows share it is known to about this.
    const double slopeDeviation = 0.25 * fit.split.slope + 0.03;
    return std::hypot(std::max(moved(deviation, 0.0), moved(-deviation, 0.0)),
        std::max(moved(0.0, slopeDeviation), moved(0.0, -slopeDeviation)));
}

} // namespace twinlamp::measure
