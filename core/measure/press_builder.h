// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/measure_options.h"
#include "core/measure/answers.h"
#include "core/measure/clip_analysis.h"
#include "core/measure/lamp_onsets.h"
#include "core/measure/pairing.h"

#include <vector>

namespace twinlamp::measure {

/// Everything that was found in a clip before presses are put together. References must outlive it.
struct PressMaterial
{
    const AnalysisInput& input;
    const MeasureOptions& options;
    const onset::TimedTrace& reference;
    const onset::TimedTrace& goggle;
    const LampOnsets& lamp;
    const onset::EdgeSearch& goggleEdges;
    const std::vector<Partner>& partners; ///< one per lamp edge
    const std::vector<PairedEdge>& paired; ///< those with an answer and an onset, in the same order
    const Answers& answers; ///< one fit per paired edge
};

/// One press per lamp edge, with figures, parts of the uncertainty and flags; panel figures come
/// later.
[[nodiscard]] std::vector<Press> buildPresses(const PressMaterial& material);

/// Direction of the panel's sweep against the camera's rows: +1 with them, -1 against, 0 across or
/// unknown.
[[nodiscard]] int sweepAlongRows(int rotationDeg, double lineTimeMs);

} // namespace twinlamp::measure
