// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/moments.h"
#include "core/stats/plan/plan.h"
#include "core/stats/special_functions.h"

#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::stats {
namespace {

TEST(WidthPlan, MeanByStudentsT)
{
    // R 4.2.2 qt: smallest n with t(n - 1) s / sqrt(n) <= h.
    EXPECT_EQ(widthPlan({8.0, 1.0, 0.95, Centre::Mean})->presses, 249);
    EXPECT_EQ(widthPlan({8.0, 2.0, 0.95, Centre::Mean})->presses, 64);
    EXPECT_EQ(widthPlan({20.0, 2.0, 0.95, Centre::Mean})->presses, 387);
    EXPECT_EQ(widthPlan({5.0, 0.5, 0.99, Centre::Mean})->presses, 668);
}

TEST(WidthPlan, MedianByItsLargeSampleWidth)
{
    // R: (z 8 sqrt(pi / 2) / 1)^2 = 386.185561925.
    const auto plan = widthPlan({8.0, 1.0, 0.95, Centre::Median});
    ASSERT_TRUE(plan);
    EXPECT_EQ(plan->presses, 387);
    EXPECT_GE(plan->reached, 0.95);
    EXPECT_LT(plan->reached, 0.951);
    // A flat shape: 0.5 full widths are sqrt(3) standard deviations, (z 8 sqrt(3))^2 = 737.6.
    EXPECT_EQ(plan->assumptions.at(2), (Sentence {"plan-median-flat", {"738"}}));
}

TEST(WidthPlan, MedianTakesAsManyPressesAsItsIntervalNeeds)
{
    // R: ceil(log(0.025) / log(0.5)) = 6.
    EXPECT_EQ(widthPlan({1.0, 50.0, 0.95, Centre::Median})->presses, 6);
    EXPECT_EQ(widthPlan({1.0, 50.0, 0.95, Centre::Mean})->presses, 2);
}

TEST(WidthPlan, ReachedIsTheConfidenceOfThatWidth)
{
    for (const auto of : {Centre::Mean, Centre::Median}) {
        const auto plan = widthPlan({8.0, 1.7, 0.9, of});
        ASSERT_TRUE(plan);
        EXPECT_GE(plan->reached, 0.9);
        const auto other = widthPlan({8.0, 1.7, plan->reached + 1e-6, of});
        EXPECT_GT(other->presses, plan->presses);
    }
}

TEST(WidthPlan, PromisedHalfWidthIsMetOnAverage)
{
    // Normal latencies, seed 3: the mean half width of 400 bench days is the one that was planned.
    std::mt19937_64 random(3);
    std::normal_distribution<> latency(40.0, 8.0);
    const std::int64_t presses = widthPlan({8.0, 2.0, 0.95, Centre::Mean})->presses;
    double sum = 0.0;
    for (int day = 0; day < 400; ++day) {
        std::vector<double> values(static_cast<std::size_t>(presses));
        for (double& value : values) {
            value = latency(random);
        }
        sum += studentQuantile(static_cast<double>(presses - 1), 0.975)
            * standardDeviation(values).value() / std::sqrt(static_cast<double>(presses));
    }
    EXPECT_NEAR(sum / 400.0, 2.0, 0.04);
}

TEST(WidthPlan, RefusesWhatIsNoWidth)
{
    EXPECT_EQ(widthPlan({0.0, 1.0, 0.95, Centre::Mean}).error().detail,
        "the standard deviation is 0; it has to be larger than 0");
    EXPECT_FALSE(widthPlan({8.0, -1.0, 0.95, Centre::Mean}).has_value());
    EXPECT_FALSE(widthPlan({8.0, 1.0, 1.5, Centre::Median}).has_value());
    EXPECT_FALSE(widthPlan({8.0, 1e-6, 0.95, Centre::Median}).has_value());
    EXPECT_FALSE(widthPlan({8.0, 1e-6, 0.95, Centre::Mean}).has_value());
}

TEST(DifferencePlan, MatchesOtherSystems)
{
    // R power.t.test: 63.765764 -> 64 for 0.5 SD at 80 %, 22.021098 -> 23 for 1 SD at 90 %. It
    // counts one tail; statsmodels, with both, gives 63.765611 and 22.021088.
    const DifferenceClaim half {8.0, 4.0, 0.8, 0.95};
    const DifferenceClaim full {8.0, 8.0, 0.9, 0.95};
    EXPECT_EQ(differencePlan(half)->presses, 64);
    EXPECT_EQ(differencePlan(full)->presses, 23);
    EXPECT_NEAR(differencePower(63.765611, half), 0.8, 1e-7);
    EXPECT_NEAR(differencePower(22.021088, full), 0.9, 1e-7);
}

TEST(DifferencePlan, LargeDifferencesNeedTwoPresses)
{
    const auto plan = differencePlan({1.0, 1000.0, 0.8, 0.95});
    ASSERT_TRUE(plan);
    EXPECT_EQ(plan->presses, 2);
    EXPECT_NEAR(plan->reached, 1.0, 1e-9);
}

TEST(DifferencePlan, PromisedPowerIsMet)
{
    // Seed 8: shares of 2000 pairs of normal settings that a pooled t test tells apart.
    std::mt19937_64 random(8);
    const auto plan = differencePlan({8.0, 6.0, 0.8, 0.95});
    ASSERT_TRUE(plan);
    const auto n = static_cast<double>(plan->presses);
    std::normal_distribution<> slow(46.0, 8.0);
    std::normal_distribution<> fast(40.0, 8.0);
    int told = 0;
    for (int trial = 0; trial < 2000; ++trial) {
        std::vector<double> a(static_cast<std::size_t>(plan->presses));
        std::vector<double> b(a.size());
        for (std::size_t i = 0; i < a.size(); ++i) {
            a[i] = slow(random);
            b[i] = fast(random);
        }
        const double variance
            = (sumOfSquaredDeviations(a) + sumOfSquaredDeviations(b)) / (2.0 * n - 2.0);
        const double t = (*mean(a) - *mean(b)) / std::sqrt(variance * 2.0 / n);
        told += std::abs(t) > studentQuantile(2.0 * n - 2.0, 0.975) ? 1 : 0;
    }
    EXPECT_NEAR(told / 2000.0, plan->reached, 4.0 * std::sqrt(0.8 * 0.2 / 2000.0));
}

TEST(DifferencePlan, RefusesWhatIsNoDifference)
{
    EXPECT_FALSE(differencePlan({8.0, 0.0, 0.8, 0.95}).has_value());
    EXPECT_FALSE(differencePlan({8.0, 1.0, 1.0, 0.95}).has_value());
    EXPECT_FALSE(differencePlan({8.0, 1.0, 0.04, 0.95}).has_value());
}

} // namespace
} // namespace twinlamp::stats
