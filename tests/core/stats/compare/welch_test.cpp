// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/welch.h"
#include "tests/reference/compared_samples.h"

#include <gtest/gtest.h>
#include <numeric>

namespace twinlamp::stats {
namespace {

std::vector<double> fromTo(int first, int last)
{
    std::vector<double> values(static_cast<std::size_t>(last - first + 1));
    std::iota(values.begin(), values.end(), first);
    return values;
}

TEST(WelchTest, FirstExampleOfR)
{
    // R, help of t.test: P = .00001855.
    const auto test = welchTest({fromTo(1, 10), fromTo(7, 20)});
    ASSERT_TRUE(test);
    EXPECT_NEAR(test->t, -5.43492976389, 5e-12);
    EXPECT_NEAR(test->degrees, 21.9822123, 5e-8);
    EXPECT_NEAR(test->pValue, 1.85528183251e-05, 2e-13);
    EXPECT_NEAR(test->difference.interval.low.value(), -11.0528017252, 5e-10);
    EXPECT_NEAR(test->difference.interval.high.value(), -4.9471982748, 5e-10);
}

TEST(WelchTest, SecondExampleOfR)
{
    // The same with one straggler: P = .1245.
    auto second = fromTo(7, 20);
    second.push_back(200);
    const auto test = welchTest({fromTo(1, 10), second});
    ASSERT_TRUE(test);
    EXPECT_NEAR(test->t, -1.63290263320, 5e-12);
    EXPECT_NEAR(test->degrees, 14.1645990, 5e-8);
    EXPECT_NEAR(test->pValue, 0.124513498090, 5e-10);
    EXPECT_NEAR(test->difference.interval.low.value(), -47.2428998871, 5e-8);
    EXPECT_NEAR(test->difference.interval.high.value(), 6.3762332204, 5e-8);
}

TEST(WelchTest, Sleep)
{
    const auto test = welchTest({reference::sleepFirst, reference::sleepSecond});
    ASSERT_TRUE(test);
    EXPECT_NEAR(test->t, -1.86081346749, 5e-12);
    EXPECT_NEAR(test->degrees, 17.7764735162, 5e-9);
    EXPECT_NEAR(test->pValue, 0.0793941401874, 5e-11);
    EXPECT_NEAR(test->difference.interval.low.value(), -3.3654832307, 5e-9);
    EXPECT_NEAR(test->difference.interval.high.value(), 0.2054832307, 5e-9);
}

TEST(WelchTest, WhatStandsBetweenTheSamplesWidensTheInterval)
{
    const TwoSamples samples {reference::sleepFirst, reference::sleepSecond};
    const auto plain = welchTest(samples);
    const auto apart = welchTest(samples, 0.95, 1.0);
    ASSERT_TRUE(plain && apart);
    EXPECT_EQ(apart->difference.value, plain->difference.value);
    EXPECT_GT(apart->standardError, plain->standardError);
    EXPECT_GT(apart->degrees, plain->degrees); // it is known, not estimated
    EXPECT_LT(apart->difference.interval.low, plain->difference.interval.low);
}

TEST(WelchTest, NothingThatVariesHasNone)
{
    const std::vector<double> equal {25, 25, 25};
    EXPECT_FALSE(welchTest({equal, equal}).has_value());
    EXPECT_FALSE(welchTest({equal, std::vector<double> {1.0}}).has_value());
}

} // namespace
} // namespace twinlamp::stats
