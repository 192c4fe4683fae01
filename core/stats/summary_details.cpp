// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/summary_details.h"

#include "core/stats/trend/outliers.h"

#include <algorithm>

namespace twinlamp::stats {

namespace {

/// A counted press with its latency.
struct Timed
{
    const Press* press;
    double latencyMs;
};

std::vector<Timed> timedPresses(RunPresses clip, Edge edge, Figure figure)
{
    std::vector<Timed> timed;
    for (const Press& press : clip) {
        const auto latency = latencyOf(press, figure);
        if (press.accepted && press.edge == edge && latency) {
            timed.push_back({&press, toMs(*latency)});
        }
    }
    return timed;
}

std::vector<NamedOutlier> namedOutliers(std::span<const RunPresses> clips, Edge edge, Figure figure)
{
    std::vector<NamedOutlier> all;
    std::vector<double> latencies;
    for (std::size_t clip = 0; clip < clips.size(); ++clip) {
        for (const Timed& timed : timedPresses(clips[clip], edge, figure)) {
            all.push_back({clip, timed.press->index, timed.latencyMs, 0.0});
            latencies.push_back(timed.latencyMs);
        }
    }
    std::vector<NamedOutlier> named;
    for (const Outlier& outlier : outliers(latencies)) {
        named.push_back(all[outlier.index]);
        named.back().score = outlier.score;
    }
    return named;
}

} // namespace

SummaryDetails summaryDetails(std::span<const RunPresses> clips, Edge edge, Figure figure)
{
    SummaryDetails details;
    std::vector<double> sorted;
    for (const RunLatencies& clip : latenciesByRun(clips, edge, figure)) {
        sorted.insert(sorted.end(), clip.latenciesMs.begin(), clip.latenciesMs.end());
        details.noResponse.hits += clip.lost;
        details.noResponse.trials += clip.presses();
    }
    std::ranges::sort(sorted);
    const OrderedSample sample {sorted, details.noResponse.hits};
    details.p5 = quantileFigure(sample, 0.05);
    details.p95 = quantileFigure(sample, 0.95);
    details.p99 = quantileFigure(sample, 0.99);
    if (details.noResponse.trials > 0) {
        details.noResponseShare = static_cast<double>(details.noResponse.hits)
            / static_cast<double>(details.noResponse.trials);
    }
    details.noResponseInterval = clopperPearson(details.noResponse);
    details.largestMissedShare = largestMissedShare(details.noResponse.trials);
    details.outliers = namedOutliers(clips, edge, figure);
    return details;
}

TimeFigures timeFigures(RunPresses clip, Edge edge, Figure figure)
{
    constexpr double msPerMinute = 60'000.0;
    std::vector<double> minutes;
    std::vector<double> latencies;
    for (const Timed& timed : timedPresses(clip, edge, figure)) {
        if (timed.press->reference) {
            minutes.push_back(toMs(*timed.press->reference) / msPerMinute);
            latencies.push_back(timed.latencyMs);
        }
    }
    return {theilSen({minutes, latencies}), mannKendall(latencies), runsTest(latencies),
        lagOneAutocorrelation(latencies)};
}

RunDrift runDrift(std::span<const RunLatencies> runs)
{
    std::vector<double> numbers;
    std::vector<double> medians;
    double number = 0.0;
    for (const RunLatencies& run : runs) {
        number += 1.0;
        std::vector<double> sorted = run.latenciesMs;
        std::ranges::sort(sorted);
        if (const auto median = quantileType7(OrderedSample {sorted, run.lost}, 0.5)) {
            numbers.push_back(number);
            medians.push_back(*median);
        }
    }
    return {theilSen({numbers, medians}), mannKendall(medians)};
}

} // namespace twinlamp::stats
