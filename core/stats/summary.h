// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"
#include "core/stats/run_latencies.h"

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace twinlamp::stats {

/// Which latency of a press.
enum class Figure : std::uint8_t
{
    FirstLight,
    FullFrame
};

/// Empty where it could not be measured.
[[nodiscard]] std::optional<Latency> latencyOf(const Press& press, Figure figure);

struct SummaryOptions
{
    std::optional<Latency> lateLimit;
    std::optional<FrameRate> linkFrameRate; ///< of the link camera; without it no link spread
    bool operator==(const SummaryOptions&) const = default;
};

/// What the presses of one edge kind say about one latency. Milliseconds are double here: figures,
/// not instants.
struct Summary
{
    std::int64_t n = 0; ///< accepted presses that have the latency
    std::int64_t noResponse = 0; ///< accepted presses that never were answered
    std::int64_t setAside = 0; ///< presses of this edge kind left out of everything here
    std::int64_t runs = 0; ///< runs that gave a latency

    /// Of n + noResponse values, a lost answer later than all others; empty where the figure falls
    /// among the lost ones.
    std::optional<double> medianMs;
    std::optional<double> medianLowMs; ///< 95 %, distribution-free; empty below 6 presses
    std::optional<double> medianHighMs;
    std::optional<double> p5Ms; ///< quantiles of type 7
    std::optional<double> p25Ms;
    std::optional<double> p75Ms;
    std::optional<double> p95Ms;
    std::optional<double> iqrMs;
    /// Empty as soon as one answer was lost: there is then no largest latency.
    std::optional<double> maxMs;

    /// Of the n measured latencies.
    std::optional<double> meanMs;
    std::optional<double> sdMs; ///< with n - 1
    std::optional<double> smallestMs;
    std::optional<double> largestMeasuredMs;

    std::optional<double> linkSpreadMs;
    std::optional<double> linkSpreadLowMs; ///< 95 %; 0: not told apart from zero
    std::optional<double> linkSpreadHighMs;
    /// Period of the frame clock whose sawtooth the latencies show, where they do: the link spread
    /// is then what remains about it.
    std::optional<double> sawtoothPeriodMs;

    /// Filled with a late limit only.
    std::optional<Latency> lateLimit;
    std::optional<std::int64_t> late; ///< latency over the limit, and every lost answer
    std::optional<double> lateShare; ///< late / (n + noResponse)
    std::optional<double> lateLow; ///< 95 %, Clopper-Pearson
    std::optional<double> lateHigh;
    bool operator==(const Summary&) const = default;
};

/// Presses of one run. Runs matter for the link spread: it is taken within them.
using RunPresses = std::span<const Press>;

/// Summary of the presses of one edge kind; kinds are never pooled. The presses of a clip stand in
/// time order, clip after clip: where time goes back the next clip begins, with a phase of its own
/// against the frame clock. Nothing else depends on their order.
///
/// A press set aside counts nowhere. An accepted press without an answer counts as later than any
/// limit, except where its hold was too short for the link. For the full frame, a press that was
/// answered but whose full frame could not be timed is left out; where no full frame was timed at
/// all, lost answers are left out too.
///
/// Intervals take presses as independent: right within one run of a free-running clock, too narrow
/// across runs with locked clocks.
/// Tests: tests/core/stats/summary_test.cpp
[[nodiscard]] Summary summarise(RunPresses presses, Edge edge, const SummaryOptions& options,
    Figure figure = Figure::FirstLight);

/// The same over several runs of one link setting.
[[nodiscard]] Summary summariseRuns(std::span<const RunPresses> runs, Edge edge,
    const SummaryOptions& options, Figure figure = Figure::FirstLight);

/// Latencies that such a summary counts, in the order of the presses: what a histogram shows.
[[nodiscard]] std::vector<Latency> countedLatencies(
    RunPresses presses, Edge edge, Figure figure = Figure::FirstLight);

/// Latencies and lost answers that such a summary counts, of each run.
[[nodiscard]] std::vector<RunLatencies> latenciesByRun(
    std::span<const RunPresses> runs, Edge edge, Figure figure = Figure::FirstLight);

} // namespace twinlamp::stats
