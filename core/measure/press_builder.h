// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/measure_options.h"
#include "core/measure/answers.h"
#include "core/measure/clip_analysis.h"
#include "core/measure/lamp_onsets.h"
#include "core/measure/line_time.h"
#include "core/measure/pairing.h"
#include "core/onset/pulse_answer.h"
#include "core/trace/pulse_light.h"

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
    /// The panel's sweep runs with (+1) or against (-1) the camera's rows, or across them (0);
    /// between that on a turned panel: the cosine of the angle.
    double sweepAlong = 0.0;
    LineTimeFigure lineTime;
    const trace::PulseLight* gogglePulses = nullptr; ///< null: the light does not pulse
    /// One per paired edge where the goggle's pulses are seen one by one: they then stand for the
    /// fits.
    const std::vector<std::optional<onset::PulseAnswer>>* pulseAnswers = nullptr;
};

/// One press per lamp edge, with figures, parts of the uncertainty and flags; panel figures come
/// later.
[[nodiscard]] std::vector<Press> buildPresses(const PressMaterial& material);

/// How the sweep runs against the camera's rows (see PressMaterial) while the panel has not told.
[[nodiscard]] double sweepAlongRows(int rotationDeg, double lineTimeMs);

} // namespace twinlamp::measure
