// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/timed_trace.h"
#include "core/panel/cell_traces.h"
#include "core/trace/pulse_light.h"

namespace twinlamp::measure {

/// How far apart the pulses of a strobed panel start over a region: 0 where all of it flashes at
/// once, more where the flash rolls over the panel. The camera's own rows are allowed for.
/// @param cells   of the region, their light as it was filmed
/// @param pulses  of the region's mean; pulses timed one by one tell nothing here
/// @return ms, the larger one of top to bottom and left to right; 0 where it cannot be told
/// Tests: tests/core/measure/pulse_sweep_test.cpp
[[nodiscard]] double pulseSweepMs(const panel::CellTraces& cells, const onset::TimedTrace& region,
    const trace::PulseLight& pulses);

} // namespace twinlamp::measure
