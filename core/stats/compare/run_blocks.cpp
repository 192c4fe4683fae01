// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/run_blocks.h"

#include "core/stats/bootstrap.h"
#include "core/stats/moments.h"
#include "core/stats/plan/plan.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::stats {

namespace {

/// Runs whose figures agree by luck are not believed beyond this share of the variance that the
/// scatter within them explains. A share of 1 costs power where clocks run free: in
/// run_simulation_test.cpp it left 0.4 % of false verdicts with 3 runs, where a quarter leaves 3 %.
constexpr double leastOfWithin = 0.25;

double squaredError(const RunBlocks& blocks)
{
    const auto runs = static_cast<double>(blocks.figures.size());
    const double between = sumOfSquaredDeviations(blocks.figures) / (runs - 1.0) / runs;
    return std::max(between, leastOfWithin * blocks.withinVariance);
}

double resampledMean(const std::vector<double>& figures, RandomSource& random)
{
    double sum = 0.0;
    for (std::size_t i = 0; i < figures.size(); ++i) {
        sum += figures[random.index(figures.size())];
    }
    return sum / static_cast<double>(figures.size());
}

} // namespace

std::optional<BlockTest> blockTest(
    const RunBlocks& first, const RunBlocks& second, double commonVariance)
{
    if (first.figures.size() < 2 || second.figures.size() < 2) {
        return std::nullopt;
    }
    const auto runsA = static_cast<double>(first.figures.size());
    const auto runsB = static_cast<double>(second.figures.size());
    const double ofA = squaredError(first);
    const double ofB = squaredError(second);
    // Welch's variance, and no less than that of the pooled one: with 3 runs against 6 the scatter
    // of the 3 is small by luck too often (run_simulation_test.cpp: 6.6 % of verdicts false).
    const double pooled = (ofA * runsA * (runsA - 1.0) + ofB * runsB * (runsB - 1.0))
        / (runsA + runsB - 2.0) * (1.0 / runsA + 1.0 / runsB);
    const double total = std::max(ofA + ofB, pooled) + commonVariance;
    const double overDegrees = ofA * ofA / (runsA - 1.0) + ofB * ofB / (runsB - 1.0);
    BlockTest test;
    test.difference = *mean(second.figures) - *mean(first.figures);
    test.standardError = std::sqrt(total);
    const double welch = ofA + ofB + commonVariance;
    test.degrees = overDegrees > 0.0 ? welch * welch / overDegrees : runsA + runsB - 2.0;
    test.figureSd = std::sqrt((ofA * runsA + ofB * runsB) / 2.0);
    return test;
}

Interval blockInterval(const BlockTest& test, double confidence)
{
    const double reach
        = test.standardError * studentQuantile(test.degrees, 1.0 - (1.0 - confidence) / 2.0);
    return {test.difference - reach, test.difference + reach};
}

double blockPValue(const BlockTest& test)
{
    if (test.standardError > 0.0) {
        return studentBeyond(test.degrees, test.difference / test.standardError);
    }
    return test.difference == 0.0 ? 1.0 : 0.0;
}

double blockWithinPValue(const BlockTest& test, double margin)
{
    const double room = margin - std::abs(test.difference);
    if (!(test.standardError > 0.0)) {
        return room > 0.0 ? 0.0 : 1.0;
    }
    const double oneSided = studentBeyond(test.degrees, room / test.standardError) / 2.0;
    return room > 0.0 ? oneSided : 1.0 - oneSided;
}

Interval blockBootstrap(
    const RunBlocks& first, const RunBlocks& second, const RunComparisonOptions& options)
{
    if (options.replicates == 0) {
        return {};
    }
    RandomSource random(options.seed);
    std::vector<double> differences(options.replicates);
    for (double& difference : differences) {
        if (options.stop.stop_requested()) {
            return {};
        }
        const double ofFirst = resampledMean(first.figures, random);
        difference = resampledMean(second.figures, random) - ofFirst;
    }
    return percentileInterval(std::move(differences), options.confidence);
}

std::optional<NeededRuns> neededRuns(
    const BlockTest& test, double difference, double pressesARun, double confidence)
{
    constexpr std::int64_t mostRuns = 1000;
    constexpr double power = 0.8;
    if (difference == 0.0 || !std::isfinite(difference)) {
        return std::nullopt;
    }
    std::int64_t runs = fewestRuns;
    if (test.figureSd > 0.0) {
        const DifferenceClaim claim {test.figureSd, std::abs(difference), power, confidence};
        // The normal rule is a run or two short; the noncentral t is slow, so it only mends that.
        const double rule = (normalQuantile(1.0 - (1.0 - confidence) / 2.0) + normalQuantile(power))
            * claim.sdMs / claim.differenceMs;
        const double guess = std::floor(2.0 * rule * rule);
        if (guess >= static_cast<double>(mostRuns)) {
            return std::nullopt;
        }
        runs = std::max(fewestRuns, static_cast<std::int64_t>(guess));
        while (differencePower(static_cast<double>(runs), claim) < power) {
            ++runs;
        }
    }
    return NeededRuns {
        runs, static_cast<std::int64_t>(std::ceil(static_cast<double>(runs) * pressesARun))};
}

} // namespace twinlamp::stats
