// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/lamp_line.h"
#include "core/measure/lamp_onsets.h"
#include "core/onset/exposure_estimate.h"
#include "core/onset/timed_trace.h"

#include <span>

namespace twinlamp::measure {

/// The exposure anew from how much more of a frame's light each row of the lamp has than the row
/// before it: a rolling shutter of known line time starts the rows' exposures that much apart, and
/// a lamp that switches at once fills them at 1 / exposure.
///
/// @param like   trace of the whole lamp: its times and camera, the line time known
/// @param lines  of the lamp, shape N each
/// @param onsets where it switches; clipped ones tell nothing
/// @param first  the exposure as it was told by how often frames are partly lit
/// @return `first` where the rows add nothing: no line time, fewer than three lines
/// Source: posterior over the exposure, the first estimate (a Beta posterior) its prior, each edge
///         at its own best instant. Tests: tests/core/measure/row_exposure_test.cpp
[[nodiscard]] onset::ExposureEstimate exposureFromRows(const onset::TimedTrace& like,
    std::span<const LampLine> lines, std::span<const LampOnset> onsets,
    const onset::ExposureEstimate& first);

} // namespace twinlamp::measure
