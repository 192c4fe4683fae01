// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/order_statistics.h"
#include "core/stats/proportion.h"
#include "core/stats/run_latencies.h"
#include "core/stats/summary.h"
#include "core/stats/trend/independence.h"
#include "core/stats/trend/mann_kendall.h"
#include "core/stats/trend/theil_sen.h"

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace twinlamp::stats {

/// A press far from the others of its edge kind: named, and counted like the others.
struct NamedOutlier
{
    std::size_t clip = 0; ///< in the list given
    int press = 0; ///< Press::index
    double latencyMs = 0.0;
    double score = 0.0; ///< as in Outlier
    bool operator==(const NamedOutlier&) const = default;
};

/// What a summary says beyond its figures. Intervals take presses as independent, as in Summary.
struct SummaryDetails
{
    QuantileFigure p5; ///< ms; of n + lost values, like the summary's
    QuantileFigure p95;
    QuantileFigure p99;
    Count noResponse; ///< of n + lost
    std::optional<double> noResponseShare; ///< empty without a press
    ShareInterval noResponseInterval; ///< 95 %, Clopper-Pearson
    /// Share of late presses that so many presses miss altogether in 5 % of campaigns; 1 without a
    /// press.
    double largestMissedShare = 1.0;
    std::vector<NamedOutlier> outliers; ///< in the order of clips and presses
    bool operator==(const SummaryDetails&) const = default;
};

/// @param clips  presses of each, clips of all runs one after another
/// Tests: tests/core/stats/summary_details_test.cpp
[[nodiscard]] SummaryDetails summaryDetails(
    std::span<const RunPresses> clips, Edge edge, Figure figure = Figure::FirstLight);

/// How latencies went over the time of one clip: whether they drifted, and whether neighbours are
/// alike. Clocks that beat slowly do both without any fault of the link.
struct TimeFigures
{
    std::optional<TheilSen> drift; ///< ms per minute
    std::optional<MannKendall> trend;
    std::optional<RunsTest> order;
    std::optional<Autocorrelation> neighbours;
    bool operator==(const TimeFigures&) const = default;
};

/// @param clip  presses of one clip: instants of two clips have no common zero
[[nodiscard]] TimeFigures timeFigures(
    RunPresses clip, Edge edge, Figure figure = Figure::FirstLight);

/// How the medians of the runs went over the campaign, in the order of the runs given.
struct RunDrift
{
    std::optional<TheilSen> drift; ///< ms per run
    std::optional<MannKendall> trend;
    bool operator==(const RunDrift&) const = default;
};

/// Runs without a median (no answer, or half of them lost) are passed over but keep their number.
[[nodiscard]] RunDrift runDrift(std::span<const RunLatencies> runs);

} // namespace twinlamp::stats
