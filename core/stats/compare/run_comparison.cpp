// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/run_comparison.h"

#include "core/base/contracts.h"
#include "core/stats/compare/clustered_shares.h"
#include "core/stats/compare/run_blocks.h"
#include "core/stats/compare/run_centres.h"
#include "core/stats/compare/spread.h"
#include "core/stats/moments.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::stats {

namespace {

RunBlocks logDeviationsOf(std::span<const RunLatencies> runs)
{
    RunBlocks blocks;
    double presses = 0.0;
    for (const RunLatencies& run : runs) {
        const double deviation = meanAbsoluteDeviation(run.latenciesMs).value_or(0.0);
        if (run.latenciesMs.size() < fewestForRunSpread || !(deviation > 0.0)) {
            continue;
        }
        const auto n = static_cast<double>(run.latenciesMs.size());
        blocks.figures.push_back(std::log(deviation * n / (n - 1.0)));
        presses += n;
    }
    if (!blocks.figures.empty()) {
        blocks.pressesARun = presses / static_cast<double>(blocks.figures.size());
    }
    return blocks;
}

Sentence fewRuns(const RunComparison& comparison)
{
    return {"compare-few-runs",
        {std::to_string(comparison.runsA), std::to_string(comparison.runsB),
            std::to_string(fewestRuns)}};
}

/// The verdict that an interval tells: nothing inside is told apart from 0.
Verdict verdictOf(const Interval& interval)
{
    if (interval.low && *interval.low > 0.0) {
        return Verdict::ALess;
    }
    return interval.high && *interval.high < 0.0 ? Verdict::BLess : Verdict::Undecided;
}

/// Fills the figures over blocks; false where there are too few of them.
bool fillFromBlocks(const RunBlocks& a, const RunBlocks& b, const std::optional<BlockTest>& test,
    const RunComparisonOptions& options, RunComparison& comparison)
{
    comparison.runsA = static_cast<std::int64_t>(a.figures.size());
    comparison.runsB = static_cast<std::int64_t>(b.figures.size());
    if (comparison.runsA > 0 && comparison.runsB > 0) {
        comparison.difference.value = *mean(b.figures) - *mean(a.figures);
    }
    if (!test || std::min(comparison.runsA, comparison.runsB) < fewestRuns) {
        comparison.reason = fewRuns(comparison);
        return false;
    }
    comparison.degrees = test->degrees;
    comparison.pValue = blockPValue(*test);
    comparison.difference.interval = blockInterval(*test, options.confidence);
    comparison.bootstrap = blockBootstrap(a, b, options);
    comparison.verdict = verdictOf(comparison.difference.interval);
    return true;
}

void explainUndecided(const BlockTest& test, double toTell, double pressesARun,
    const RunComparisonOptions& options, RunComparison& comparison)
{
    if (comparison.verdict != Verdict::Undecided || !options.planNeeded) {
        return;
    }
    comparison.needed = neededRuns(test, toTell, pressesARun, options.confidence);
    comparison.reason = comparison.needed
        ? Sentence {"compare-not-told",
            {std::to_string(comparison.needed->runs), std::to_string(comparison.needed->presses)}}
        : Sentence {"compare-no-difference", {}};
}

void toRatio(Estimate& estimate)
{
    estimate.value = std::exp(estimate.value);
    for (auto* end : {&estimate.interval.low, &estimate.interval.high}) {
        if (*end) {
            *end = std::exp(**end);
        }
    }
}

Count sum(std::span<const Count> counts)
{
    Count all;
    for (const Count& count : counts) {
        all.hits += count.hits;
        all.trials += count.trials;
    }
    return all;
}

/// Each run's share about the pooled one, weighted by its presses: the linearised ratio estimator,
/// whose mean is the pooled share.
RunBlocks weightedShares(std::span<const Count> counts)
{
    const Count all = sum(counts);
    RunBlocks blocks;
    const auto runs = static_cast<double>(
        std::ranges::count_if(counts, [](const Count& count) { return count.trials > 0; }));
    if (all.trials == 0) {
        return blocks;
    }
    blocks.pressesARun = static_cast<double>(all.trials) / runs;
    const double share = static_cast<double>(all.hits) / static_cast<double>(all.trials);
    for (const Count& count : counts) {
        if (count.trials > 0) {
            const double away
                = static_cast<double>(count.hits) - share * static_cast<double>(count.trials);
            blocks.figures.push_back(share + away / blocks.pressesARun);
        }
    }
    blocks.withinVariance = share * (1.0 - share) / static_cast<double>(all.trials);
    return blocks;
}

} // namespace

RunComparison compareShift(const TwoSettings& settings, const RunComparisonOptions& options)
{
    return compareCentres(
        centresOf(settings.a, options.centre), centresOf(settings.b, options.centre), options);
}

RunComparison compareCentres(
    const RunCentres& a, const RunCentres& b, const RunComparisonOptions& options)
{
    TL_EXPECTS(options.confidence > 0.5 && options.confidence < 1.0);
    TL_EXPECTS(options.rigVarianceMs2 >= 0.0);
    RunComparison comparison;
    const auto test = blockTest(a.blocks, b.blocks, options.rigVarianceMs2);
    const bool filled = fillFromBlocks(a.blocks, b.blocks, test, options, comparison);
    if (a.withoutCentre + b.withoutCentre > 0) {
        // Leaving those runs out would flatter the setting that lost its answers.
        comparison = {};
        comparison.runsA = static_cast<std::int64_t>(a.blocks.figures.size());
        comparison.runsB = static_cast<std::int64_t>(b.blocks.figures.size());
        comparison.reason = Sentence {
            "compare-run-lost", {std::to_string(a.withoutCentre), std::to_string(b.withoutCentre)}};
        return comparison;
    }
    if (!filled) {
        return comparison;
    }
    if (options.marginMs) {
        comparison.samePValue = blockWithinPValue(*test, *options.marginMs);
        if (*comparison.samePValue < 1.0 - options.confidence) {
            comparison.verdict = Verdict::SameWithin;
        }
    }
    explainUndecided(*test, options.marginMs.value_or(test->difference),
        std::max(a.blocks.pressesARun, b.blocks.pressesARun), options, comparison);
    return comparison;
}

RunComparison compareSpread(const TwoSettings& settings, const RunComparisonOptions& options)
{
    TL_EXPECTS(options.confidence > 0.5 && options.confidence < 1.0);
    const RunBlocks a = logDeviationsOf(settings.a);
    const RunBlocks b = logDeviationsOf(settings.b);
    RunComparison comparison;
    const auto test = blockTest(a, b, 0.0);
    if (fillFromBlocks(a, b, test, options, comparison)) {
        explainUndecided(
            *test, test->difference, std::max(a.pressesARun, b.pressesARun), options, comparison);
    }
    if (comparison.runsA == 0 || comparison.runsB == 0) {
        comparison.reason = Sentence {"compare-no-spread", {std::to_string(fewestForRunSpread)}};
        return comparison;
    }
    toRatio(comparison.difference);
    Estimate bootstrap {0.0, comparison.bootstrap};
    toRatio(bootstrap);
    comparison.bootstrap = bootstrap.interval;
    return comparison;
}

RunComparison compareLateShare(
    const TwoSettingCounts& settings, const RunComparisonOptions& options)
{
    TL_EXPECTS(options.confidence > 0.5 && options.confidence < 1.0);
    const RunBlocks a = weightedShares(settings.a);
    const RunBlocks b = weightedShares(settings.b);
    RunComparison comparison;
    const auto test = blockTest(a, b, 0.0);
    if (!fillFromBlocks(a, b, test, options, comparison)) {
        return comparison;
    }
    const Count ofA = sum(settings.a);
    const Count ofB = sum(settings.b);
    const ShareDifference independent = newcombeDifference(ofB, ofA, options.confidence);
    comparison.pValue = std::max(*comparison.pValue, newcombePValue(ofB, ofA));
    const ClusteredDifference clustered = clusteredDifference(settings, options.confidence);
    comparison.pValue = std::max(*comparison.pValue, clustered.pValue);
    Interval& interval = comparison.difference.interval;
    interval.low
        = std::max(-1.0, std::min({*interval.low, independent.low, clustered.difference.low}));
    interval.high
        = std::min(1.0, std::max({*interval.high, independent.high, clustered.difference.high}));
    comparison.verdict = verdictOf(interval);
    explainUndecided(
        *test, test->difference, std::max(a.pressesARun, b.pressesARun), options, comparison);
    return comparison;
}

std::vector<Count> lateCounts(std::span<const RunLatencies> runs, double limitMs)
{
    std::vector<Count> counts;
    for (const RunLatencies& run : runs) {
        const auto over = std::ranges::count_if(
            run.latenciesMs, [limitMs](double latency) { return latency > limitMs; });
        counts.push_back({over + run.lost, run.presses()});
    }
    return counts;
}

std::string_view verdictWord(Verdict verdict, ComparedFigure figure)
{
    switch (verdict) {
    case Verdict::ALess:
        return figure == ComparedFigure::Shift ? "a-faster"
            : figure == ComparedFigure::Spread ? "a-steadier"
                                               : "a-less-late";
    case Verdict::BLess:
        return figure == ComparedFigure::Shift ? "b-faster"
            : figure == ComparedFigure::Spread ? "b-steadier"
                                               : "b-less-late";
    case Verdict::SameWithin:
        return "same-within";
    case Verdict::Undecided:
        break;
    }
    return "undecided";
}

} // namespace twinlamp::stats
