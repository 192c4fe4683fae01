// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/rank_distribution.h"
#include "core/stats/compare/rank_shift.h"
#include "tests/reference/compared_samples.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>

namespace twinlamp::stats {
namespace {

using namespace reference;

const TwoSamples permeability {permeabilityX, permeabilityY};
const TwoSamples ozone {ozoneByMonth[0], ozoneByMonth[3]}; // May, August
const TwoSamples sleep {sleepFirst, sleepSecond};
const std::vector<double> males {19, 22, 16, 29, 24};
const std::vector<double> females {20, 11, 17, 12};

TEST(MannWhitney, Permeability)
{
    // W = 35, one-sided p .1272 and .1103 in R's help; R 4.2.2 and SciPy 1.10.
    const auto test = mannWhitney(permeability);
    ASSERT_TRUE(test);
    EXPECT_EQ(test->u, 35.0);
    EXPECT_TRUE(test->isExact);
    EXPECT_NEAR(test->pValue, 764.0 / 3003.0, 1e-13);
    EXPECT_NEAR(mannWhitneyNormal(permeability, false), 0.22067136192, 5e-12);
    EXPECT_NEAR(mannWhitneyNormal(permeability), 0.244623605127, 5e-13);
}

TEST(MannWhitney, OzoneHasTies)
{
    // R, help of wilcox.test: W = 127.5, p-value = 0.0001208; exact: exactRankTests, coin.
    const auto test = mannWhitney(ozone);
    ASSERT_TRUE(test);
    EXPECT_EQ(test->u, 127.5);
    EXPECT_NEAR(mannWhitneyNormal(ozone), 0.000120807830769, 1.3e-12);
    EXPECT_NEAR(mannWhitneyNormal(ozone, false), 0.000116377260044, 1.2e-12);
    EXPECT_NEAR(mannWhitneyExact(ozone), 6.1087351888e-05, 1e-12);
}

TEST(MannWhitney, SleepHasTies)
{
    const auto test = mannWhitney(sleep);
    ASSERT_TRUE(test);
    EXPECT_EQ(test->u, 25.5);
    EXPECT_NEAR(test->pValue, 0.0658165364, 5e-11);
    EXPECT_NEAR(mannWhitneyNormal(sleep), 0.0693275754336, 5e-13);
    EXPECT_NEAR(mannWhitneyNormal(sleep, false), 0.063722250155, 5e-13);
}

TEST(MannWhitney, Diabetes)
{
    // SciPy, docstring of mannwhitneyu, after R. Shier (2004).
    const auto test = mannWhitney({males, females});
    ASSERT_TRUE(test);
    EXPECT_EQ(test->u, 17.0);
    EXPECT_NEAR(test->pValue, 0.1111111111111111, 1e-13);
    EXPECT_NEAR(mannWhitneyNormal({males, females}), 0.11134688653314041, 1e-12);
    EXPECT_NEAR(mannWhitneyNormal({males, females}, false), 0.0864107329737, 5e-13);
}

TEST(MannWhitney, EqualValuesAreAlike)
{
    const std::vector<double> equal(40, 25.0);
    EXPECT_EQ(mannWhitneyNormal({equal, equal}), 1.0);
    EXPECT_EQ(mannWhitney({equal, std::vector<double> {25.0}})->pValue, 1.0);
    EXPECT_FALSE(mannWhitney({equal, {}}).has_value());
}

TEST(MannWhitney, SwappingTheSamplesMirrorsU)
{
    const auto forth = mannWhitney(permeability);
    const auto back = mannWhitney({permeabilityY, permeabilityX});
    EXPECT_EQ(forth->u + back->u, 50.0);
    EXPECT_NEAR(forth->pValue, back->pValue, 1e-13);
}

TEST(HodgesLehmann, Permeability)
{
    // R wilcox.test(conf.int = TRUE); 95 % by coin too: ranks 9 and 42 of 50, coverage 2883/3003.
    const auto usual = hodgesLehmannShift(permeability);
    ASSERT_TRUE(usual);
    EXPECT_NEAR(usual->value, 0.305, 1e-12);
    EXPECT_EQ(shiftRank(10, 5, 0.025), 9);
    EXPECT_NEAR(usual->interval.low.value(), -0.15, 1e-12);
    EXPECT_NEAR(usual->interval.high.value(), 0.76, 1e-12);
    const auto narrow = hodgesLehmannShift(permeability, 0.90);
    EXPECT_NEAR(narrow->interval.low.value(), -0.08, 1e-12);
    EXPECT_NEAR(narrow->interval.high.value(), 0.72, 1e-12);
    const auto wide = hodgesLehmannShift(permeability, 0.99);
    EXPECT_NEAR(wide->interval.low.value(), -0.35, 1e-12);
    EXPECT_NEAR(wide->interval.high.value(), 1.01, 1e-12);
}

TEST(HodgesLehmann, OtherPublishedSets)
{
    // Median of all differences by R and NumPy; intervals by R.
    const auto ozoneShift = hodgesLehmannShift(ozone);
    EXPECT_EQ(ozoneShift->value, -32.0);
    EXPECT_EQ(shiftRank(26, 26, 0.025), 231);
    EXPECT_EQ(ozoneShift->interval, (Interval {-53.0, -15.0}));
    const auto sleepShift = hodgesLehmannShift(sleep);
    EXPECT_NEAR(sleepShift->value, -1.35, 1e-12);
    EXPECT_NEAR(sleepShift->interval.low.value(), -3.6, 1e-12);
    EXPECT_NEAR(sleepShift->interval.high.value(), 0.1, 1e-12);
    const auto diabetes = hodgesLehmannShift({males, females});
    EXPECT_EQ(diabetes->value, 7.0);
    EXPECT_EQ(diabetes->interval, (Interval {-1.0, 17.0}));
}

TEST(HodgesLehmann, TooFewValuesHaveNoInterval)
{
    // 3 and 3 values: 20 ways to deal ranks out, 10 % for the two extreme ones.
    const std::vector<double> three {1, 2, 3};
    const auto shift = hodgesLehmannShift({three, three});
    ASSERT_TRUE(shift);
    EXPECT_EQ(shift->value, 0.0);
    EXPECT_EQ(shift->interval, Interval {});
    EXPECT_FALSE(hodgesLehmannShift({three, {}}).has_value());
}

TEST(HodgesLehmann, MovesWithTheValues)
{
    std::vector<double> moved = permeabilityX;
    for (double& value : moved) {
        value += 7.0;
    }
    const auto before = hodgesLehmannShift(permeability);
    const auto after = hodgesLehmannShift({moved, permeabilityY});
    EXPECT_NEAR(after->value, before->value + 7.0, 1e-12);
    EXPECT_NEAR(*after->interval.low, *before->interval.low + 7.0, 1e-12);
}

TEST(HodgesLehmann, AgreesWithTheTableOfDifferences)
{
    std::mt19937_64 random(9);
    std::normal_distribution<> value(0.0, 5.0);
    std::vector<double> x(41);
    std::vector<double> y(70);
    std::ranges::generate(x, [&] { return value(random); });
    std::ranges::generate(y, [&] { return std::round(value(random)); });
    std::vector<double> differences;
    for (const double a : x) {
        for (const double b : y) {
            differences.push_back(a - b);
        }
    }
    std::ranges::sort(differences);
    const auto shift = hodgesLehmannShift({x, y});
    EXPECT_EQ(shift->value,
        (differences[differences.size() / 2 - 1] + differences[differences.size() / 2]) / 2.0);
    const auto rank = static_cast<std::size_t>(shiftRank(41, 70, 0.025));
    EXPECT_EQ(shift->interval.low, differences[rank - 1]);
    EXPECT_EQ(shift->interval.high, differences[differences.size() - rank]);
}

TEST(HodgesLehmann, IntervalHoldsTheTruthAsOftenAsItSays)
{
    // Seed 10, true shift 2, skewed values; exact ranks at 12 and 15, normal ones at 40 and 50.
    std::mt19937_64 random(10);
    std::exponential_distribution<> skewedValue(0.25);
    for (const std::size_t size : {12U, 40U}) {
        int held = 0;
        constexpr int trials = 1500;
        std::vector<double> x(size);
        std::vector<double> y(size * 5 / 4);
        for (int trial = 0; trial < trials; ++trial) {
            std::ranges::generate(x, [&] { return 2.0 + skewedValue(random); });
            std::ranges::generate(y, [&] { return skewedValue(random); });
            const Interval interval = hodgesLehmannShift({x, y})->interval;
            held += *interval.low <= 2.0 && 2.0 <= *interval.high ? 1 : 0;
        }
        EXPECT_NEAR(static_cast<double>(held) / trials, 0.955, 0.0225) << size;
    }
}

TEST(ShiftRank, ExactAndNormalMeet)
{
    for (const std::size_t size : {24U, 27U, 30U}) {
        const auto pairs = static_cast<double>(size * size);
        const double sd = std::sqrt(pairs * static_cast<double>(2 * size + 1) / 12.0);
        const double normal = std::floor(pairs / 2.0 - 1.959963985 * sd + 0.5);
        EXPECT_NEAR(static_cast<double>(shiftRank(size, size, 0.025)), normal, 1.0);
    }
}

TEST(Superiority, HogartyKromrey)
{
    // R package effsize: delta -0.25, interval -0.7265846 to 0.3890062; variance by NumPy.
    const auto found = superiority({hogartyTreatment, hogartyControl});
    ASSERT_TRUE(found);
    EXPECT_EQ(found->wins, 17);
    EXPECT_EQ(found->losses, 32);
    EXPECT_EQ(found->ties, 11);
    EXPECT_NEAR(found->delta.value, -0.25, 1e-15);
    EXPECT_NEAR(found->chance, 0.375, 1e-15);
    EXPECT_NEAR(found->deltaVariance, 0.0980555555556, 5e-14);
    EXPECT_NEAR(found->delta.interval.low.value(), -0.7265845889, 5e-11);
    EXPECT_NEAR(found->delta.interval.high.value(), 0.3890061902, 5e-11);
}

TEST(Superiority, OtherPublishedSets)
{
    EXPECT_NEAR(superiority(permeability)->delta.value, 0.4, 1e-15);
    EXPECT_NEAR(superiority(permeability)->chance, 0.7, 1e-15);
    const auto found = superiority(ozone);
    EXPECT_EQ(found->wins, 125);
    EXPECT_EQ(found->losses, 546);
    EXPECT_EQ(found->ties, 5);
    EXPECT_NEAR(found->delta.value, -0.622781065089, 5e-13);
}

TEST(Superiority, SamplesApartHaveNoInterval)
{
    const auto found = superiority({std::vector<double> {5, 6, 7}, std::vector<double> {1, 2}});
    EXPECT_EQ(found->delta.value, 1.0);
    EXPECT_EQ(found->delta.interval, Interval {});
}

} // namespace
} // namespace twinlamp::stats
