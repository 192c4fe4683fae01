// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/special_functions.h"
#include "core/stats/trend/mann_kendall.h"
#include "tests/reference/nist_univariate.h"
#include "tests/reference/trend_series.h"

#include <gtest/gtest.h>
#include <random>

namespace twinlamp::stats {
namespace {

TEST(MannKendall, SulfateHasTies)
{
    // EnvStats help: Z 5.107322, p 3.267574e-07; tau-b by R and SciPy.
    const auto test = mannKendall(reference::sulfate);
    ASSERT_TRUE(test);
    EXPECT_EQ(test->s, 194);
    EXPECT_NEAR(test->variance, 1428.0, 1e-9);
    EXPECT_NEAR(test->z, 5.10732159684, 5e-12);
    EXPECT_FALSE(test->isExact);
    EXPECT_NEAR(test->pValue, 3.26757357e-07, 5e-15);
    EXPECT_NEAR(test->tau, 0.774489668814, 5e-13);
}

TEST(MannKendall, FewValuesAreExact)
{
    const auto test = mannKendall(reference::cloudSeeding);
    ASSERT_TRUE(test);
    EXPECT_EQ(test->s, -6);
    EXPECT_NEAR(test->variance, 16.6666666667, 5e-11);
    EXPECT_NEAR(test->z, -1.22474487139, 5e-12);
    EXPECT_NEAR(normalBeyond(test->z), 0.22067136192, 5e-12);
    EXPECT_TRUE(test->isExact);
    EXPECT_NEAR(test->pValue, 0.233333333333, 5e-13);
}

TEST(MannKendall, SensExample)
{
    const auto test = mannKendall(reference::senValues);
    ASSERT_TRUE(test);
    EXPECT_EQ(test->s, 21);
    EXPECT_NEAR(test->variance, 44.3333333333, 5e-11);
    EXPECT_NEAR(test->z, 3.00375704593, 5e-12);
    EXPECT_NEAR(normalBeyond(test->z), 0.00266668179361, 5e-14);
    EXPECT_NEAR(test->pValue, 2.0 / 5040.0, 1e-15); // the one rising order, and the falling one
}

TEST(MannKendall, Sodium)
{
    const auto test = mannKendall(reference::sodium);
    ASSERT_TRUE(test);
    EXPECT_EQ(test->s, 25);
    EXPECT_NEAR(test->variance, 125.0, 1e-10);
    EXPECT_NEAR(test->z, 2.1466252584, 5e-11);
    EXPECT_NEAR(normalBeyond(test->z), 0.0318231273865, 5e-13);
}

TEST(MannKendall, SpeedOfLight)
{
    const std::vector<double> values(reference::michelso.begin(), reference::michelso.end());
    const auto test = mannKendall(values);
    ASSERT_TRUE(test);
    EXPECT_EQ(test->s, -1265);
    EXPECT_NEAR(test->variance, 112279.666666667, 5e-9);
    EXPECT_NEAR(test->z, -3.77221568567, 5e-11);
    EXPECT_NEAR(test->pValue, 0.000161804291851, 1.7e-12);
}

TEST(MannKendall, TunaIsExact)
{
    // R, cor.test: one-sided exact p 0.05972, tau 0.4444.
    const auto test = mannKendall(reference::tunaByLightness);
    ASSERT_TRUE(test);
    EXPECT_EQ(test->s, 26 - 10);
    EXPECT_NEAR(test->tau, 0.444444444444, 5e-13);
    EXPECT_NEAR(kendallAtMost(-16, 9), 0.0597194664903, 5e-13);
    EXPECT_NEAR(test->pValue, 0.119438933, 5e-10);
}

TEST(MannKendall, ExactDistributionAddsUp)
{
    for (const std::size_t count : {4U, 9U, 50U}) {
        const auto pairs = static_cast<std::int64_t>(count * (count - 1) / 2);
        EXPECT_NEAR(kendallAtMost(pairs, count), 1.0, 1e-12);
        EXPECT_NEAR(kendallAtMost(-1, count) + kendallAtMost(0, count), 1.0, 1e-12) << count;
    }
}

TEST(MannKendall, EqualValuesHaveNoTrend)
{
    const auto test = mannKendall(std::vector<double>(12, 25.0));
    ASSERT_TRUE(test);
    EXPECT_EQ(test->s, 0);
    EXPECT_EQ(test->pValue, 1.0);
    EXPECT_FALSE(mannKendall(std::vector<double> {1, 2, 3}).has_value());
}

TEST(MannKendall, CountsPairsAsTheDefinitionDoes)
{
    std::mt19937_64 random(5);
    std::uniform_int_distribution<> coarse(0, 30);
    std::vector<double> values(301);
    for (double& value : values) {
        value = coarse(random);
    }
    std::int64_t s = 0;
    for (std::size_t i = 0; i < values.size(); ++i) {
        for (std::size_t j = i + 1; j < values.size(); ++j) {
            s += (values[j] > values[i] ? 1 : 0) - (values[j] < values[i] ? 1 : 0);
        }
    }
    EXPECT_EQ(mannKendall(values)->s, s);
    std::vector<double> rising(100'000);
    for (std::size_t i = 0; i < rising.size(); ++i) {
        rising[i] = static_cast<double>(i);
    }
    EXPECT_EQ(mannKendall(rising)->s, 100'000LL * 99'999 / 2);
}

TEST(MannKendall, NoTrendIsSeldomTold)
{
    std::mt19937_64 random(4);
    std::uniform_int_distribution<> coarse(0, 9);
    int told = 0;
    for (int trial = 0; trial < 2000; ++trial) {
        std::vector<double> values(60);
        for (double& value : values) {
            value = coarse(random);
        }
        told += mannKendall(values)->pValue < 0.05 ? 1 : 0;
    }
    EXPECT_NEAR(told / 2000.0, 0.05, 0.02) << "seed 4";
}

} // namespace
} // namespace twinlamp::stats
