// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/summary.h"

#include "core/base/contracts.h"
#include "core/stats/link_spread.h"
#include "core/stats/moments.h"
#include "core/stats/order_statistics.h"
#include "core/stats/proportion.h"
#include "core/stats/trend/sawtooth.h"

#include <algorithm>
#include <array>
#include <utility>

namespace twinlamp::stats {

std::optional<Latency> latencyOf(const Press& press, Figure figure)
{
    return figure == Figure::FirstLight ? press.latency : press.fullFrameLatency;
}

namespace {

bool isLost(const Press& press)
{
    return !press.latency && !hasFlag(press.flags, Flag::TooShortForLink);
}

double varianceThatVariesMs2(const Press& press)
{
    double sum = 0.0;
    for (const UncertaintyPart& part : press.parts) {
        if (!part.commonToAll) {
            sum += part.standardMs * part.standardMs;
        }
    }
    return sum;
}

/// The counted presses of one edge kind.
struct Counted
{
    std::vector<std::vector<double>> runsMs;
    std::vector<std::int64_t> lostByRun;
    std::vector<double> sortedMs;
    std::vector<Latency> latencies;
    std::int64_t lost = 0;
    std::int64_t setAside = 0;
    double sumOfVariancesMs2 = 0.0;
    /// The same latencies clip by clip: each clip counts time from its own start.
    std::vector<TimedLatencies> clips;
    bool beginsClip = true;
};

// Within one clip presses follow each other; where time goes back, the next clip of the run begins.
void addToClip(const Press& press, double latencyMs, Counted& counted)
{
    if (!press.reference) {
        return;
    }
    const double atMs = toMs(*press.reference);
    if (counted.beginsClip || atMs <= counted.clips.back().atMs.back()) {
        counted.clips.emplace_back();
        counted.beginsClip = false;
    }
    counted.clips.back().atMs.push_back(atMs);
    counted.clips.back().latencyMs.push_back(latencyMs);
}

void countPress(const Press& press, Figure figure, Counted& counted)
{
    if (!press.accepted) {
        ++counted.setAside;
        return;
    }
    if (const auto latency = latencyOf(press, figure)) {
        counted.runsMs.back().push_back(toMs(*latency));
        counted.sortedMs.push_back(toMs(*latency));
        counted.latencies.push_back(*latency);
        counted.sumOfVariancesMs2 += varianceThatVariesMs2(press);
        addToClip(press, toMs(*latency), counted);
    } else if (isLost(press)) {
        ++counted.lost;
        ++counted.lostByRun.back();
    }
}

Counted countPresses(std::span<const RunPresses> runs, Edge edge, Figure figure)
{
    Counted counted;
    for (const RunPresses& run : runs) {
        counted.runsMs.emplace_back();
        counted.beginsClip = true;
        counted.lostByRun.push_back(0);
        for (const Press& press : run) {
            if (press.edge == edge) {
                countPress(press, figure, counted);
            }
        }
    }
    std::ranges::sort(counted.sortedMs);
    if (figure == Figure::FullFrame && counted.sortedMs.empty()) {
        // The clip times no full frames: an answer can not be late by that figure.
        counted.lost = 0;
        std::ranges::fill(counted.lostByRun, 0);
    }
    return counted;
}

void fillQuantiles(const Counted& counted, Summary& summary)
{
    const OrderedSample sample {counted.sortedMs, counted.lost};
    constexpr double half = 0.5;
    summary.medianMs = quantileType7(sample, half);
    const Interval interval = quantileInterval(sample, half);
    summary.medianLowMs = interval.low;
    summary.medianHighMs = interval.high;
    summary.p5Ms = quantileType7(sample, 0.05);
    summary.p25Ms = quantileType7(sample, 0.25);
    summary.p75Ms = quantileType7(sample, 0.75);
    summary.p95Ms = quantileType7(sample, 0.95);
    summary.maxMs = quantileType7(sample, 1.0);
    if (summary.p25Ms && summary.p75Ms) {
        summary.iqrMs = *summary.p75Ms - *summary.p25Ms;
    }
}

void fillMoments(const Counted& counted, Summary& summary)
{
    summary.meanMs = mean(counted.sortedMs);
    summary.sdMs = standardDeviation(counted.sortedMs);
    if (!counted.sortedMs.empty()) {
        summary.smallestMs = counted.sortedMs.front();
        summary.largestMeasuredMs = counted.sortedMs.back();
    }
}

void fillLate(const Counted& counted, Latency limit, Summary& summary)
{
    summary.lateLimit = limit;
    const auto over = std::ranges::count_if(
        counted.latencies, [limit](Latency latency) { return latency > limit; });
    const Count count {over + counted.lost, summary.n + counted.lost};
    summary.late = count.hits;
    if (count.trials > 0) {
        summary.lateShare = static_cast<double>(count.hits) / static_cast<double>(count.trials);
        const ShareInterval interval = clopperPearson(count);
        summary.lateLow = interval.low;
        summary.lateHigh = interval.high;
    }
}

void fillLinkSpread(const Counted& counted, FrameRate linkFrameRate, Summary& summary)
{
    if (summary.n == 0) {
        return;
    }
    const double meanVariance = counted.sumOfVariancesMs2 / static_cast<double>(summary.n);
    SawtoothSearch search;
    search.toldRateHz = linkFrameRate.hz();
    std::vector<TimedLatencies> clips = counted.clips;
    constexpr std::size_t fewestPresses = 3; // a clip with fewer has no phase to fit
    std::erase_if(
        clips, [](const TimedLatencies& clip) { return clip.atMs.size() < fewestPresses; });
    const auto clock = sawtooth(clips, search);
    const bool showsClock = clock && clock->shows;
    const auto spread = showsClock
        ? linkSpreadAboutClock(*clock, meanVariance)
        : linkSpread({counted.runsMs, linkFrameRate.intervalMs(), meanVariance});
    if (showsClock) {
        summary.sawtoothPeriodMs = clock->periodMs;
    }
    if (spread) {
        summary.linkSpreadMs = spread->estimateMs;
        summary.linkSpreadLowMs = spread->interval.low;
        summary.linkSpreadHighMs = spread->interval.high;
    }
}

} // namespace

Summary summariseRuns(
    std::span<const RunPresses> runs, Edge edge, const SummaryOptions& options, Figure figure)
{
    const Counted counted = countPresses(runs, edge, figure);
    Summary summary;
    summary.n = static_cast<std::int64_t>(counted.sortedMs.size());
    summary.noResponse = counted.lost;
    summary.setAside = counted.setAside;
    summary.runs = std::ranges::count_if(
        counted.runsMs, [](const std::vector<double>& run) { return !run.empty(); });
    fillQuantiles(counted, summary);
    fillMoments(counted, summary);
    if (options.lateLimit) {
        fillLate(counted, *options.lateLimit, summary);
    }
    // The stated parts of the uncertainty are those of first light.
    if (options.linkFrameRate && figure == Figure::FirstLight) {
        TL_EXPECTS(options.linkFrameRate->isPositive());
        fillLinkSpread(counted, *options.linkFrameRate, summary);
    }
    return summary;
}

Summary summarise(RunPresses presses, Edge edge, const SummaryOptions& options, Figure figure)
{
    const std::array<RunPresses, 1> oneRun {presses};
    return summariseRuns(oneRun, edge, options, figure);
}

std::vector<Latency> countedLatencies(RunPresses presses, Edge edge, Figure figure)
{
    const std::array<RunPresses, 1> oneRun {presses};
    return countPresses(oneRun, edge, figure).latencies;
}

std::vector<RunLatencies> latenciesByRun(std::span<const RunPresses> runs, Edge edge, Figure figure)
{
    Counted counted = countPresses(runs, edge, figure);
    std::vector<RunLatencies> all;
    for (std::size_t i = 0; i < counted.runsMs.size(); ++i) {
        all.push_back({std::move(counted.runsMs[i]), counted.lostByRun[i]});
    }
    return all;
}

} // namespace twinlamp::stats
