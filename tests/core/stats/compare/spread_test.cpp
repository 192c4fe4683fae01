// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/spread.h"
#include "tests/reference/compared_samples.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>

namespace twinlamp::stats {
namespace {

TEST(EqualSpread, GearBatches)
{
    // e-Handbook 1.3.5.10 prints 1.705910 (2nd hand); R car leveneTest and SciPy levene agree on
    // 1.7059176930 and 0.0990829755522.
    const auto batches = reference::gearBatches();
    const auto median = equalSpreadTest(batches);
    ASSERT_TRUE(median);
    EXPECT_EQ(median->groupDegrees, 9.0);
    EXPECT_EQ(median->restDegrees, 90.0);
    EXPECT_NEAR(median->statistic, 1.7059176930, 5e-9);
    EXPECT_NEAR(median->statistic, 1.705910, 1e-5);
    EXPECT_NEAR(median->pValue, 0.0990829755522, 1e-9);
    const auto mean = equalSpreadTest(batches, DeviationsFrom::Mean);
    EXPECT_NEAR(mean->statistic, 2.1594598565, 5e-9);
    EXPECT_NEAR(mean->pValue, 0.0322368266, 5e-10);
}

TEST(EqualSpread, TwoBatches)
{
    const auto batches = reference::gearBatches();
    const auto sixTen = equalSpreadTest(std::vector<std::vector<double>> {batches[5], batches[9]});
    EXPECT_NEAR(sixTen->statistic, 2.4581664910, 5e-9);
    EXPECT_NEAR(sixTen->pValue, 0.1343266316, 5e-10);
    const auto sixEight
        = equalSpreadTest(std::vector<std::vector<double>> {batches[5], batches[7]});
    EXPECT_NEAR(sixEight->statistic, 4.8768245839, 5e-9);
    EXPECT_NEAR(sixEight->pValue, 0.0404294921, 5e-10);
}

TEST(EqualSpread, Arsenic)
{
    // F = 4.564176, P = 0.007294084: USEPA (2009) ex. 11-2 through EnvStats. The median-based test
    // sees nothing in the same wells.
    const auto mean = equalSpreadTest(reference::arsenic, DeviationsFrom::Mean);
    EXPECT_NEAR(mean->statistic, 4.5641760911, 5e-10);
    EXPECT_NEAR(mean->pValue, 0.0072940841435, 1e-10);
    const auto median = equalSpreadTest(reference::arsenic);
    EXPECT_NEAR(median->statistic, 0.5505482565, 5e-10);
    EXPECT_NEAR(median->pValue, 0.7359989871, 5e-9);
}

TEST(EqualSpread, NothingThatVariesHasNone)
{
    const std::vector<std::vector<double>> equal {{25, 25, 25}, {30, 30}};
    EXPECT_FALSE(equalSpreadTest(equal).has_value());
    EXPECT_FALSE(equalSpreadTest(std::vector<std::vector<double>> {{1, 2}, {3}}).has_value());
}

TEST(MeanAbsoluteDeviation, FromTheMedian)
{
    EXPECT_EQ(
        meanAbsoluteDeviation(std::vector<double> {1, 2, 3, 10}), (1.5 + 0.5 + 0.5 + 7.5) / 4);
    EXPECT_EQ(meanAbsoluteDeviation(std::vector<double> {7}), 0.0);
    EXPECT_FALSE(meanAbsoluteDeviation({}).has_value());
}

TEST(SpreadRatio, IsSecondOverFirst)
{
    std::vector<double> narrow;
    std::vector<double> wide;
    for (int i = 0; i < 40; ++i) {
        narrow.push_back(20.0 + i % 7);
        wide.push_back(30.0 + 3.0 * (i % 7));
    }
    const auto ratio = spreadRatio({narrow, wide});
    ASSERT_TRUE(ratio);
    EXPECT_NEAR(ratio->value, 3.0, 1e-12);
    EXPECT_LT(ratio->interval.low.value(), 3.0);
    EXPECT_GT(ratio->interval.high.value(), 3.0);
    EXPECT_EQ(spreadRatio({narrow, wide}), ratio); // seeded
    const auto back = spreadRatio({wide, narrow});
    EXPECT_NEAR(back->value, 1.0 / 3.0, 1e-12);
}

/// Squares of 0, 1, 2, ... modulo 1009, as far apart as they come.
std::vector<double> unevenValues(std::size_t count, std::size_t factor)
{
    std::vector<double> values;
    for (std::size_t i = 0; i < count; ++i) {
        values.push_back(20.0 + 0.01 * static_cast<double>(i * i * factor % 1009));
    }
    return values;
}

TEST(SpreadRatio, LargeSamplesAreDrawnByTheirStandardError)
{
    // x: [20 + 0.01 * (i * i % 1009) for i in range(3000)], y: [20 + 0.01 * (i * i * 11 % 1009)
    // for i in range(2000)]; NumPy 1.24: d = abs(x - median(x)); v(x) = d.var(ddof=1) / (n *
    // d.mean() ** 2); log ratio -/+ 1.959964 * sqrt(v(x) + v(y)).
    const std::vector<double> x = unevenValues(3000, 1);
    const std::vector<double> y = unevenValues(2000, 11);
    const auto ratio = spreadRatio({x, y});
    ASSERT_TRUE(ratio);
    EXPECT_NEAR(ratio->value, 0.942456167847, 1e-10);
    // An end of 10 000 draws is good to 2.7 % of the standard error of the logarithm, 0.0166.
    EXPECT_NEAR(*ratio->interval.low, 0.9122, 5 * 0.0166 * 0.027);
    EXPECT_NEAR(*ratio->interval.high, 0.9737, 5 * 0.0166 * 0.027);
}

TEST(SpreadRatio, ResampledAndDrawnAgreeWhereTheyMeet)
{
    const std::vector<double> x = unevenValues(mostForSpreadBootstrap, 1);
    const std::vector<double> larger = unevenValues(mostForSpreadBootstrap + 1, 1);
    const std::vector<double> y = unevenValues(60, 11);
    const auto resampled = spreadRatio({x, y});
    const auto drawn = spreadRatio({larger, y});
    EXPECT_NEAR(*resampled->interval.low, *drawn->interval.low, 0.01);
    EXPECT_NEAR(*resampled->interval.high, *drawn->interval.high, 0.02);
}

TEST(SpreadRatio, StopLeavesNothing)
{
    std::stop_source stop;
    stop.request_stop();
    BootstrapPlan plan;
    plan.stop = stop.get_token();
    EXPECT_FALSE(spreadRatio({unevenValues(40, 1), unevenValues(40, 11)}, plan));
}

TEST(SpreadRatio, FewOrEqualValuesHaveNone)
{
    const std::vector<double> equal(20, 25.0);
    const std::vector<double> some {1, 2, 3, 4, 5, 6, 7};
    EXPECT_FALSE(spreadRatio({equal, some}).has_value());
    EXPECT_EQ(spreadRatio({some, some})->interval, Interval {});
}

TEST(SpreadRatio, IntervalHoldsTheTruth)
{
    // Seed 12: flat against skewed latencies of one mean absolute deviation, so that the true ratio
    // is 1: 2.5 of uniform(0, 10), and b ln 2 of an exponential with mean b.
    std::mt19937_64 random(12);
    std::uniform_real_distribution<> flat(0.0, 10.0);
    std::exponential_distribution<> skewed(std::log(2.0) / 2.5);
    int held = 0;
    constexpr int trials = 300;
    for (int trial = 0; trial < trials; ++trial) {
        std::vector<double> x(40);
        std::vector<double> y(40);
        std::ranges::generate(x, [&] { return flat(random); });
        std::ranges::generate(y, [&] { return skewed(random); });
        BootstrapPlan plan;
        plan.replicates = 1000;
        plan.seed = static_cast<std::uint64_t>(trial);
        const Interval interval = spreadRatio({x, y}, plan)->interval;
        held += *interval.low <= 1.0 && 1.0 <= *interval.high ? 1 : 0;
    }
    EXPECT_GE(static_cast<double>(held) / trials, 0.90);
    EXPECT_LE(static_cast<double>(held) / trials, 0.99);
}

} // namespace
} // namespace twinlamp::stats
