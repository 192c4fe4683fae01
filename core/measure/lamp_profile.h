// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/answers.h"
#include "core/panel/cell_traces.h"

#include <memory>
#include <span>

namespace twinlamp::measure {

/// How the goggle lamp's light is spread along the sweep that crosses its region, from the steps of
/// the region's cells over all answers. The sweep's direction is told by the mean arrival of the
/// light in the region's rows and columns: the area between the settled light and the trace, over
/// the step; no model of the panel enters it.
/// @param cells  light of a grid over the goggle region
/// @return nothing where no answer has enough quiet frames on both sides
/// Tests: tests/core/measure/lamp_profile_test.cpp
[[nodiscard]] std::shared_ptr<const onset::SweepWeights> sweepWeights(
    const panel::CellTraces& cells, const onset::TimedTrace& goggle,
    std::span<const onset::CoarseEdge> edges, std::span<const PairedEdge> paired);

} // namespace twinlamp::measure
