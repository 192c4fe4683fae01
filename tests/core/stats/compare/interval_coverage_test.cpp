// SPDX-License-Identifier: GPL-3.0-or-later
// How often the intervals of a comparison hold the truth where the settings differ. Those of the
// shift stand in run_simulation_test.cpp and rank_shift_test.cpp, of delta in
// run_superiority_test.cpp, of the bootstrapped spread ratio in spread_test.cpp.
#include "core/stats/compare/spread.h"
#include "core/stats/compare/welch.h"
#include "core/stats/special_functions.h"
#include "tests/core/stats/compare/simulated_link.h"

#include <array>
#include <gtest/gtest.h>
#include <iostream>

namespace twinlamp::stats {
namespace {

using Runs = std::vector<RunLatencies>;

constexpr int trials = 2000;
/// 95 %, less three standard errors of counting.
const double fewest = 0.95 - 3.0 * std::sqrt(0.05 * 0.95 / trials);

double holds(const Interval& interval, double truth)
{
    return *interval.low <= truth && truth <= *interval.high ? 1.0 / trials : 0.0;
}

RunComparisonOptions plain()
{
    RunComparisonOptions options;
    options.replicates = 0;
    options.planNeeded = false;
    return options;
}

class DifferentSettings : public testing::TestWithParam<simulated::Link>
{
};

TEST_P(DifferentSettings, IntervalOfTheSpreadRatioHoldsTheTruth)
{
    simulated::Link wide = GetParam();
    wide.jitterMs = 6.0;
    RandomSource random(71);
    // What the function says: each setting's geometric mean over (very many) runs.
    const double truth = compareSpread({simulated::runs(random, GetParam(), 20'000, 20),
                                           simulated::runs(random, wide, 20'000, 20)},
        plain())
                             .difference.value;
    for (const int runs : {3, 5, 8}) {
        double held = 0.0;
        for (int trial = 0; trial < trials; ++trial) {
            const Runs a = simulated::runs(random, GetParam(), runs, 20);
            const Runs b = simulated::runs(random, wide, runs, 20);
            held += holds(compareSpread({a, b}, plain()).difference.interval, truth);
        }
        std::cout << GetParam().name << ", spread ratio " << truth << ", " << runs << " runs: held "
                  << held << '\n';
        EXPECT_GE(held, fewest) << runs;
    }
}

TEST_P(DifferentSettings, IntervalOfTheLateShareHoldsTheTruth)
{
    simulated::Link slower = GetParam();
    slower.travelMs += 3.0;
    constexpr double limitMs = 32.0;
    RandomSource random(72);
    const auto late = [](const Runs& runs) { return lateCounts(runs, limitMs); };
    const double truth = compareLateShare({late(simulated::runs(random, GetParam(), 20'000, 20)),
                                              late(simulated::runs(random, slower, 20'000, 20))},
        plain())
                             .difference.value;
    for (const int runs : {3, 5, 8}) {
        double held = 0.0;
        for (int trial = 0; trial < trials; ++trial) {
            const auto a = late(simulated::runs(random, GetParam(), runs, 20));
            const auto b = late(simulated::runs(random, slower, runs, 20));
            held += holds(compareLateShare({a, b}, plain()).difference.interval, truth);
        }
        std::cout << GetParam().name << ", late share differs by " << truth << ", " << runs
                  << " runs: held " << held << '\n';
        // Three runs that are all in time say nothing of runs that are late as a whole.
        EXPECT_GE(held, runs == 3 ? fewest - 0.01 : fewest) << runs;
    }
}

INSTANTIATE_TEST_SUITE_P(Clocks, DifferentSettings, testing::ValuesIn(simulated::links()),
    [](const auto& each) { return each.param.name; });

TEST(WelchTest, IntervalHoldsTheTruthAsOftenAsItSays)
{
    RandomSource random(73);
    double held = 0.0;
    for (int trial = 0; trial < trials; ++trial) {
        std::array<double, 6> x {};
        std::array<double, 14> y {};
        for (double& value : x) {
            value = 25.0 + 3.0 * normalDraw(random);
        }
        for (double& value : y) {
            value = 20.0 + 1.0 * normalDraw(random);
        }
        held += holds(welchTest({x, y})->difference.interval, 5.0);
    }
    EXPECT_NEAR(held, 0.95, 0.015);
}

TEST(SpreadRatio, IntervalOfLargeSamplesHoldsTheTruth)
{
    // Flat latencies against skewed ones of the same mean absolute deviation, as in
    // spread_test.cpp; 1200 values each are not resampled.
    RandomSource random(74);
    constexpr int few = 400;
    double held = 0.0;
    for (int trial = 0; trial < few; ++trial) {
        std::vector<double> x(mostForSpreadBootstrap + 200);
        std::vector<double> y(mostForSpreadBootstrap + 200);
        for (double& value : x) {
            value = 10.0 * random.unit();
        }
        for (double& value : y) {
            value = -std::log(1.0 - random.unit()) * 2.5 / std::log(2.0);
        }
        BootstrapPlan plan;
        plan.replicates = 2000;
        plan.seed = static_cast<std::uint64_t>(trial);
        held += holds(spreadRatio({x, y}, plan)->interval, 1.0) * trials / few;
    }
    EXPECT_NEAR(held, 0.95, 0.033);
}

/// Chance of `hits` of `count` where each has the chance `share`.
double chanceOf(std::int64_t hits, std::int64_t count, double share)
{
    return binomialAtMost(hits, count, share) - binomialAtMost(hits - 1, count, share);
}

TEST(Wilson, HoldsTheTruthOnAverage)
{
    // Exact, over all counts of 40; the average over shares is what this interval keeps
    // (L. D. Brown, T. T. Cai, A. DasGupta 2001, Statistical Science 16, 101-133, from memory).
    double sum = 0.0;
    double least = 1.0;
    constexpr int shares = 99;
    for (int k = 1; k <= shares; ++k) {
        const double share = 0.01 * k;
        double coverage = 0.0;
        for (std::int64_t hits = 0; hits <= 40; ++hits) {
            const ShareInterval interval = wilson({hits, 40});
            coverage += interval.low <= share && share <= interval.high ? chanceOf(hits, 40, share)
                                                                        : 0.0;
        }
        sum += coverage / shares;
        least = std::min(least, coverage);
    }
    std::cout << "Wilson, 40 trials: held " << sum << " on average, " << least << " at worst\n";
    EXPECT_NEAR(sum, 0.95, 0.01);
    EXPECT_GE(least, 0.83);
}

TEST(NewcombeDifference, HoldsTheTruthOnAverage)
{
    // Exact, over all pairs of counts of 40 and 60.
    double sum = 0.0;
    double least = 1.0;
    double pairs = 0.0;
    for (const double a : {0.02, 0.05, 0.1, 0.2, 0.35, 0.5}) {
        for (const double b : {0.02, 0.05, 0.1, 0.2, 0.35, 0.5}) {
            double coverage = 0.0;
            for (std::int64_t i = 0; i <= 40; ++i) {
                for (std::int64_t k = 0; k <= 60; ++k) {
                    const ShareDifference found = newcombeDifference({i, 40}, {k, 60});
                    if (found.low <= a - b && a - b <= found.high) {
                        coverage += chanceOf(i, 40, a) * chanceOf(k, 60, b);
                    }
                }
            }
            sum += coverage;
            least = std::min(least, coverage);
            pairs += 1.0;
        }
    }
    std::cout << "Newcombe, 40 and 60 trials: held " << sum / pairs << " on average, " << least
              << " at worst\n";
    EXPECT_GE(sum / pairs, 0.95);
    EXPECT_GE(least, 0.92);
}

} // namespace
} // namespace twinlamp::stats
