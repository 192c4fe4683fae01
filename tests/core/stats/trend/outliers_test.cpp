// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/trend/outliers.h"
#include "tests/reference/nist_univariate.h"

#include <cmath>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <random>

namespace twinlamp::stats {
namespace {

TEST(Outliers, UraniumIsotope)
{
    // NIST/SEMATECH e-Handbook 1.3.5.17 (Tietjen & Moore 1972): score 29.96; full digits R.
    const std::vector<double> values {
        199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57};
    EXPECT_NEAR(medianAbsoluteDeviation(values).value(), 0.995, 1e-12);
    const auto named = outliers(values);
    ASSERT_EQ(named.size(), 1U);
    EXPECT_EQ(named[0].index, 7U);
    EXPECT_NEAR(named[0].score, 29.9627135678, 5e-10);
    double next = 0.0;
    const auto scores = outlierScores(values);
    for (std::size_t i = 0; i < 7; ++i) {
        next = std::max(next, std::abs(scores[i]));
    }
    EXPECT_NEAR(next, 1.39645226131, 5e-11);
}

TEST(Outliers, BoxNinety)
{
    // e-Handbook 7.1.6; R: MAD 153, scores of 1441, 1068, 30.
    const std::vector<double> values(reference::box90.begin(), reference::box90.end());
    EXPECT_EQ(medianAbsoluteDeviation(values), 153.0);
    const auto scores = outlierScores(values);
    EXPECT_NEAR(scores[89], 3.88608986928, 5e-12);
    EXPECT_NEAR(scores[88], 2.24172058824, 5e-12);
    EXPECT_NEAR(scores[0], -2.33429901961, 5e-12);
    EXPECT_THAT(outliers(values), testing::SizeIs(1));
}

TEST(MedianAbsoluteDeviation, Examples)
{
    // R, help of mad, constant 1; speed of light data by R.
    EXPECT_EQ(medianAbsoluteDeviation(std::vector<double> {1, 2, 3, 4, 5, 6, 7, 8, 9}), 2.0);
    EXPECT_EQ(medianAbsoluteDeviation(std::vector<double> {1, 2, 3, 5, 7, 8}), 2.5);
    const std::vector<double> speeds(reference::michelso.begin(), reference::michelso.end());
    EXPECT_EQ(medianAbsoluteDeviation(speeds), 45.0);
    EXPECT_FALSE(medianAbsoluteDeviation({}).has_value());
}

TEST(Outliers, MostlyEqualValuesStillNameTheStraggler)
{
    std::vector<double> values(20, 25.0);
    values[6] = 60.0;
    EXPECT_THAT(outliers(values), testing::SizeIs(1));
    EXPECT_THAT(outliers(std::vector<double>(20, 25.0)), testing::IsEmpty());
    EXPECT_THAT(outliers({}), testing::IsEmpty());
}

TEST(Outliers, SamplingPhaseMakesNone)
{
    std::mt19937_64 random(6);
    std::uniform_real_distribution<> phase(0.0, 10.0);
    for (int trial = 0; trial < 200; ++trial) {
        std::vector<double> values(100);
        for (double& value : values) {
            value = 25.0 + phase(random);
        }
        EXPECT_THAT(outliers(values), testing::IsEmpty());
    }
}

} // namespace
} // namespace twinlamp::stats
