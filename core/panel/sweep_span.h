// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/panel/sweep.h"

#include <cstdint>
#include <optional>
#include <vector>

namespace twinlamp::panel {

/// First and last row of the panel to reach a tenth of their step after one press, without the
/// response of their pixels.
struct SweepSpan
{
    double firstMs = 0.0;
    double lastMs = 0.0;
};

/// On which side of the sweep the rows lie that the second new picture completes.
enum class SecondRows : std::uint8_t
{
    Unknown,
    First, ///< link camera and panel run the same way
    Last ///< they run against each other
};

/// Common to all presses of a clip; each press with partly lit rows or with two sweeps has a vote.
[[nodiscard]] SecondRows secondRows(const std::vector<PressBands>& presses, const SweepFit& fit);

/// The rows that the first new picture lit by a tenth or more change with its sweep, the others one
/// new-frame interval later. Where along the sweep they meet is told by the bands' shares of the
/// first picture, which rise or fall evenly: the link camera reads its rows one after another.
///
/// @param bands       of the press, as fitSweep took them
/// @param side        of the clip; a press that shows the other one is taken as one sweep
/// @param newFrameMs  empty: one sweep only
/// Tests: tests/core/panel/sweep_span_test.cpp
[[nodiscard]] SweepSpan sweepSpan(const PressBands& bands, const PressSweep& press,
    const SweepFit& fit, SecondRows side, std::optional<double> newFrameMs);

} // namespace twinlamp::panel
