// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"
#include "core/measure/lamp_onsets.h"
#include "core/onset/timed_trace.h"
#include "core/panel/cell_traces.h"
#include "core/trace/pulse_light.h"

#include <optional>
#include <vector>

namespace twinlamp::measure {

/// Light of a region freed from pulses: its mean over a period, NaN between pulses.
struct PulseFree
{
    trace::PulseLight pulses;
    std::vector<float> light;
};

/// @return nothing where the light does not pulse
[[nodiscard]] std::optional<PulseFree> freeFromPulses(const onset::TimedTrace& trace);

/// The same for a panel whose pulses beat slowly with the frames, see trace::findSlowBeat: told
/// from the holds of the reference lamp, for the goggle's own edges drown in a deep beat.
[[nodiscard]] std::optional<PulseFree> freeFromSlowBeat(
    const onset::TimedTrace& goggle, const LampOnsets& lamp);

/// Cells of a panel whose backlight pulses as the goggle lamp shows it: each cell with its own
/// phase and depth. Frames that tell nothing of the lamp tell nothing of the cells.
/// @return shape of `cells.light`
[[nodiscard]] std::vector<float> cellsFreeFromPulses(
    const panel::CellTraces& cells, const onset::TimedTrace& goggle, const PulseFree& lamp);

/// Multiplies a model of the light without pulses by them, as the frames show it.
void putPulsesBack(
    const onset::TimedTrace& trace, const trace::PulseLight& pulses, ModelStretch& model);

} // namespace twinlamp::measure
