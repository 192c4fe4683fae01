// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/compare/run_comparison.h"
#include "core/stats/proportion.h"

namespace twinlamp::stats {

/// Difference of two late shares whose presses depend on each other within runs.
struct ClusteredDifference
{
    ShareDifference difference; ///< B less A
    double pValue = 1.0;
    /// How alike presses of one run are, both settings together: 0 independent, 1 a run is late or
    /// in time as a whole.
    double withinRun = 0.0;
};

/// Newcombe's interval with presses counted for what they are worth: n of a run of m for
/// n / (1 + (m - 1) r), r the intraclass correlation by analysis of variance, and Student's t of
/// the runs' degrees of freedom for the normal quantile. Where r is 0 or less it is Newcombe's.
///
/// @pre 2 runs with presses or more in each setting; confidence in (0, 1)
/// Source: design effect and intraclass correlation: A. Donner, N. Klar (2000), Design and Analysis
///         of Cluster Randomization Trials (from memory); t for z with effective counts: E. L.
///         Korn, B. I. Graubard (1998), Survey Methodology 24, 193-201 (from memory), there for the
///         exact interval.
/// Tests:  tests/core/stats/compare/clustered_shares_test.cpp; coverage: interval_coverage_test.cpp
[[nodiscard]] ClusteredDifference clusteredDifference(
    const TwoSettingCounts& settings, double confidence);

} // namespace twinlamp::stats
