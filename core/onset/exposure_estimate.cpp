// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/exposure_estimate.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::onset {

ExposureEstimate estimateExposure(std::span<const PartlyLit> partlyLit, double frameIntervalMs)
{
    // Below this a partly lit frame cannot be told from noise at all.
    constexpr double leastStepNoises = 20.0;
    double partial = 0.0;
    double total = 0.0;
    double visible = 0.0;
    ExposureEstimate estimate;
    for (const PartlyLit& frame : partlyLit) {
        if (frame.stepNoises < leastStepNoises) {
            continue;
        }
        const double margin = std::max(0.03, 4.0 / frame.stepNoises);
        partial += frame.isPartial ? 1.0 : 0.0;
        total += 1.0;
        visible += 1.0 - 2.0 * margin;
        ++estimate.edges;
    }
    const double seenShare = total > 0.0 ? visible / total : 1.0;
    const double a = partial + 1.0;
    const double b = total - partial + 1.0;
    const double share = a / (a + b) / seenShare;
    const double deviation = std::sqrt(a * b / ((a + b) * (a + b) * (a + b + 1.0))) / seenShare;
    estimate.exposureMs = frameIntervalMs * std::clamp(share, 0.02, 1.0);
    estimate.standardMs = frameIntervalMs * deviation;
    return estimate;
}

} // namespace twinlamp::onset
