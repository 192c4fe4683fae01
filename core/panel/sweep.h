// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace twinlamp::panel {

/// When one band of the panel began to change after one press.
struct BandStart
{
    double low = 0.0; ///< sides of the band along the axis, 0 to 1
    double high = 0.0;
    double startMs = 0.0; ///< at the side that the sweep enters first, real time
    double firstShare = 1.0; ///< of the whole step made by the first of two steps; 1: one step
    double standardMs = 0.0;
};

/// Starts of all bands after one press; bands that could not be timed are left out.
using PressBands = std::vector<BandStart>;

/// One press's sweep: band at position q (along the sweep) starts at startMs + scan * q, or one
/// new-frame interval later.
struct PressSweep
{
    double startMs = 0.0;
    std::vector<bool> second; ///< per band: changed with the second sweep
};

struct SweepFit
{
    double scanMs = 0.0; ///< from first to last row, never negative
    bool forward = true; ///< towards larger positions
    double residualMs = 0.0; ///< typical miss of a band
    std::vector<std::optional<PressSweep>> presses;
};

/// Scan time and direction common to all presses, and each press's sweep start. Bands may belong to
/// one sweep or to two a new-frame interval apart, where the link camera was caught in the middle
/// of its rows.
///
/// @param newFrameMs  empty: one sweep only
/// @return nothing where fewer than three bands or no press could be timed
/// Source: least absolute deviations over a grid of scan times, then a line through the bands that
/// agree. Tests:  tests/core/panel/sweep_test.cpp
[[nodiscard]] std::optional<SweepFit> fitSweep(
    const std::vector<PressBands>& presses, std::optional<double> newFrameMs);

/// Position of a band's entered side along the sweep, 0 at the first row to change.
[[nodiscard]] double alongSweep(const BandStart& band, bool forward);

} // namespace twinlamp::panel
