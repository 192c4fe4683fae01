// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/answer_window.h"
#include "core/measure/rhythm.h"
#include "core/panel/cell_traces.h"

#include <optional>
#include <span>

namespace twinlamp::measure {

/// New-frame interval told by the bands of the whole panel, for clips of a few presses: the link
/// camera's read-out lights some rows partly in the first new picture at almost every press, though
/// not always those of the goggle lamp.
/// @return nothing where too few cells change, or none of them in two steps
/// Tests: tests/core/measure/new_frame_interval_test.cpp
[[nodiscard]] std::optional<Interval> newFrameFromPanel(const panel::CellTraces& panel,
    const onset::TimedTrace& goggle, std::span<const onset::CoarseEdge> edges,
    std::span<const PairedEdge> paired);

} // namespace twinlamp::measure
