// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/measure_options.h"
#include "core/base/press.h"

#include <optional>
#include <vector>

namespace twinlamp::measure {

/// What one latency rests on, as far as it is in doubt. Standard uncertainties, ms.
struct LatencyDoubts
{
    double latencyMs = 0.0; ///< the figure itself
    double frameIntervalMs = 0.0;
    double referenceMs = 0.0; ///< onset of the reference lamp
    double firstLightMs = 0.0;
    std::optional<double> firstLightDegrees; ///< of the fit's residuals
    double shapeMs = 0.0; ///< response and sweep of the panel, fitted over all answers
    std::optional<double> shapeDegrees;
    double exposureMs = 0.0; ///< effect of one standard deviation of the exposure
    std::optional<double> exposureDegrees;
    double lineTimeMs = 0.0; ///< of the difference between the rows of both lamps
    std::optional<double> lineTimeDegrees;
    double lampResponseMs = 0.0; ///< a lamp that may not switch at once
};

/// The parts of the uncertainty of a latency: every one that is not zero.
/// Source: JCGM 100:2008, 5.1.2 and 4.3; degrees of freedom of parts that are judged, not
/// estimated, by G.4.2 for a reliability of a tenth.
/// Tests: tests/core/measure/latency_parts_test.cpp
[[nodiscard]] std::vector<UncertaintyPart> latencyParts(
    const LatencyDoubts& doubts, const MeasureOptions& options);

} // namespace twinlamp::measure
