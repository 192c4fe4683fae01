// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/compare/run_comparison.h"

#include <optional>

namespace twinlamp::stats {

/// How far two settings overlap, with runs as the blocks.
struct RunSuperiority
{
    double chance = 0.5; ///< that a press of B takes longer than one of A, ties shared out
    /// Cliff's delta of B over A: that chance less the chance of the opposite, -1 to 1. Its
    /// interval is Student's t over runs; without ends below fewestRuns, and where the settings do
    /// not overlap (the scatter is then 0, and says nothing).
    Estimate delta;
    double degrees = 0.0; ///< of the t; 0 without an interval
    /// Percentiles over runs resampled whole. Too narrow with few runs: stands beside. None beyond
    /// mostRunPairsForBootstrap.
    Interval bootstrap;
    bool operator==(const RunSuperiority&) const = default;
};

inline constexpr std::size_t mostRunPairsForBootstrap = 2500; ///< runs of A times runs of B

/// Cliff's delta over all presses, lost answers later than any other (and equal among themselves).
///
/// A run's part is the mean, over its presses, of how each stands against all presses of the other
/// setting; the scatter of these parts over the runs of each setting gives the variance of delta
/// (runs weighted by presses, floors as in compareShift). The interval is taken on Fisher's scale
/// atanh(delta), so that it stays within -1 and 1.
///
/// @return Nothing where a setting has no press.
/// @pre confidence in (0.5, 1)
/// Cost:   n log n, and runs of A times runs of B a replicate.
/// Source: variance from the parts of clusters: N. A. Obuchowski (1997), Biometrics 53, 567-578;
///         delta: N. Cliff (1996), Ordinal Methods for Behavioral Data Analysis (both from memory).
/// Tests:  tests/core/stats/compare/run_superiority_test.cpp, coverage too
[[nodiscard]] std::optional<RunSuperiority> superiorityByRuns(
    const TwoSettings& settings, const RunComparisonOptions& options = {});

} // namespace twinlamp::stats
