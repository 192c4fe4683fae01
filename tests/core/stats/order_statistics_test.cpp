// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/order_statistics.h"
#include "core/stats/special_functions.h"
#include "tests/reference/nist_univariate.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <ostream>
#include <random>
#include <vector>

namespace twinlamp::stats {
namespace {

struct RankRow
{
    std::int64_t count;
    double share;
    std::int64_t lower;
    std::int64_t upper; ///< 0: none
    double coverage;
};

void PrintTo(const RankRow& row, std::ostream* out)
{
    *out << "n " << row.count << " p " << row.share;
}

/// Two-sided, equal tails, 95 %. R 4.2.2: pbinom; every cell again with SciPy 1.10 binom.
const std::vector<RankRow> rankRows {
    {30, 0.5, 10, 21, 0.9572260547},
    {30, 0.9, 23, 0, 0.9922163808},
    {30, 0.95, 26, 0, 0.9843644899},
    {30, 0.99, 28, 0, 0.9966822907},
    {59, 0.5, 22, 38, 0.96365682},
    {59, 0.9, 48, 58, 0.9721100384},
    {59, 0.95, 52, 0, 0.991136257},
    {59, 0.99, 57, 0, 0.978544677},
    {93, 0.5, 37, 57, 0.9624857682},
    {93, 0.9, 78, 90, 0.9647438353},
    {93, 0.95, 84, 93, 0.9735783352},
    {93, 0.99, 90, 0, 0.985554732},
    {100, 0.5, 40, 61, 0.9647997998},
    {100, 0.9, 84, 96, 0.9556901072},
    {100, 0.95, 90, 100, 0.9826070607},
    {100, 0.99, 97, 0, 0.9816259636},
    {300, 0.5, 133, 168, 0.9568715007},
    {300, 0.9, 259, 281, 0.9662426643},
    {300, 0.95, 277, 293, 0.9671879248},
    {300, 0.99, 293, 0, 0.9885259214},
    {473, 0.5, 215, 259, 0.9570532356},
    {473, 0.9, 413, 439, 0.9542428739},
    {473, 0.95, 440, 459, 0.9559892139},
    {473, 0.99, 464, 473, 0.9689372218},
    {1000, 0.5, 469, 532, 0.9537088026},
    {1000, 0.9, 881, 919, 0.9549071811},
    {1000, 0.95, 936, 964, 0.9580952682},
    {1000, 0.99, 983, 997, 0.9760947635},
};

class OrderRankTable : public ::testing::TestWithParam<RankRow>
{
};

TEST_P(OrderRankTable, RanksAndCoverageMatch)
{
    const RankRow& row = GetParam();
    const OrderRanks ranks = orderStatisticRanks(row.count, row.share);
    EXPECT_EQ(ranks.lower, row.lower);
    EXPECT_EQ(ranks.upper.value_or(0), row.upper);
    // Half a unit of the last digit printed.
    EXPECT_NEAR(coverageOf(ranks, row.count, row.share), row.coverage, 5e-11);
}

INSTANTIATE_TEST_SUITE_P(R, OrderRankTable, ::testing::ValuesIn(rankRows));

TEST(OrderStatisticRanks, SmallestCountWithBothEnds)
{
    // R: ceil(log(0.025) / log(p)): 6, 13, 36, 72, 368.
    struct Row
    {
        double share;
        std::int64_t count;
    };

    for (const Row row : {Row {0.5, 6}, {0.75, 13}, {0.9, 36}, {0.95, 72}, {0.99, 368}}) {
        const OrderRanks enough = orderStatisticRanks(row.count, row.share);
        EXPECT_TRUE(enough.lower && enough.upper) << row.share;
        const OrderRanks tooFew = orderStatisticRanks(row.count - 1, row.share);
        EXPECT_FALSE(tooFew.lower && tooFew.upper) << row.share;
        EXPECT_EQ(fewestForInterval(row.share), row.count);
    }
}

TEST(OrderStatisticRanks, OneRankFurtherInFallsShort)
{
    // The off-by-one to fear: the interval is as narrow as the confidence allows on each side.
    for (const std::int64_t n : {6, 7, 12, 25, 60, 101}) {
        const OrderRanks ranks = orderStatisticRanks(n, 0.5);
        ASSERT_TRUE(ranks.lower && ranks.upper);
        EXPECT_GE(coverageOf(ranks, n, 0.5), 0.95);
        EXPECT_GT(binomialAtMost(*ranks.lower, n, 0.5), 0.025) << n;
        EXPECT_GT(1.0 - binomialAtMost(*ranks.upper - 2, n, 0.5), 0.025) << n;
    }
}

TEST(CoverageOf, MatchesPrintedTables)
{
    // A textbook table "Confidence intervals for the population median" prints 97.9, 89.1, 96.1,
    // 96.5, 96.9 and 95.9 %; full digits from SciPy.
    EXPECT_NEAR(coverageOf({2, 9}, 10, 0.5), 0.978515625, 1e-12);
    EXPECT_NEAR(coverageOf({3, 8}, 10, 0.5), 0.890625, 1e-12);
    EXPECT_NEAR(coverageOf({3, 10}, 12, 0.5), 0.96142578125, 1e-12);
    EXPECT_NEAR(coverageOf({4, 12}, 15, 0.5), 0.96484375, 1e-12);
    EXPECT_NEAR(coverageOf({5, 14}, 18, 0.5), 0.96911621, 5e-9);
    EXPECT_NEAR(coverageOf({6, 15}, 20, 0.5), 0.95861053, 5e-9);
    // EnvStats 3.1.0, help of eqnpar, n = 20, p = 0.75: 93.47622, 89.50169, 80.69277 %.
    EXPECT_NEAR(coverageOf({12, 19}, 20, 0.75), 0.934762207428, 1e-11);
    EXPECT_NEAR(coverageOf({13, 20}, 20, 0.75), 0.895016931138, 1e-11);
    EXPECT_NEAR(coverageOf({13, 18}, 20, 0.75), 0.806927710612, 1e-11);
}

TEST(QuantileInterval, MedianOfPublishedExample)
{
    // R package statpsych, help of ci.median: median 20.7, 95 % interval [10.8, 30.9].
    std::vector<double> values {30.2, 20.4, 15.1, 10.2, 10.5, 60.8, 20.8, 25.0, 20.7, 30.9, 10.8,
        5.1, 50.9, 40.0, 20.9, 10.8, 0, 20.5, 50.8};
    std::ranges::sort(values);
    EXPECT_EQ(quantileType7(values, 0.5), 20.7);
    EXPECT_EQ(quantileInterval({values, 0}, 0.5), (Interval {10.8, 30.9}));
}

TEST(QuantileInterval, MatchesRanksOnCertifiedData)
{
    // R: sorted Michelso integers, ranks of the table above.
    std::vector<double> values(reference::michelso.begin(), reference::michelso.end());
    std::ranges::sort(values);
    EXPECT_EQ(quantileInterval({values, 0}, 0.5), (Interval {840, 870}));
    EXPECT_EQ(quantileInterval({values, 0}, 0.9), (Interval {940, 980}));
    EXPECT_EQ(quantileInterval({values, 0}, 0.95), (Interval {960, 1070}));
}

TEST(QuantileInterval, FewerThanSixGiveNoMedianInterval)
{
    const std::vector<double> five {1, 2, 3, 4, 5};
    EXPECT_EQ(quantileInterval({five, 0}, 0.5), Interval {});
}

struct OneSidedRow
{
    std::int64_t count;
    double share;
    std::int64_t lower;
    double lowerConfidence;
    std::int64_t upper; ///< 0: none
    double upperConfidence; ///< without a rank: of the largest value
};

void PrintTo(const OneSidedRow& row, std::ostream* out)
{
    *out << "n " << row.count << " p " << row.share;
}

/// One-sided limits, 95 %. R 4.2.2: pbinom. 0 as a confidence: not printed there.
const std::vector<OneSidedRow> oneSidedRows {
    {30, 0.5, 11, 0.0, 20, 0.9506314266},
    {59, 0.5, 23, 0.0, 37, 0.966277694},
    {93, 0.5, 39, 0.0, 55, 0.9517174014},
    {100, 0.5, 42, 0.0, 59, 0.9556869599},
    {300, 0.5, 136, 0.0, 165, 0.9530481495},
    {30, 0.95, 26, 0.9843644899, 0, 0.7853612361},
    {59, 0.95, 53, 0.9726281426, 59, 0.9515054748},
    {93, 0.95, 85, 0.9567858718, 92, 0.9500242048},
    {100, 0.95, 91, 0.9718117058, 99, 0.9629187907},
    {300, 0.95, 279, 0.9514212831, 292, 0.9659341865},
    {30, 0.99, 29, 0.9638520017, 0, 0.2602996266},
    {59, 0.99, 57, 0.978544677, 0, 0.4473165228},
    {93, 0.99, 90, 0.985554732, 0, 0.6072889716},
    {100, 0.99, 97, 0.9816259636, 0, 0.6339676587},
    {300, 0.99, 294, 0.9672490536, 300, 0.9509591059},
};

class OneSidedTable : public ::testing::TestWithParam<OneSidedRow>
{
};

TEST_P(OneSidedTable, RanksAndConfidencesMatch)
{
    const OneSidedRow& row = GetParam();
    const auto lower = lowerLimitRank(row.count, row.share);
    const auto upper = upperLimitRank(row.count, row.share);
    EXPECT_EQ(lower, row.lower);
    EXPECT_EQ(upper.value_or(0), row.upper);
    constexpr double printed = 5e-11;
    if (row.lowerConfidence > 0.0) {
        EXPECT_NEAR(coverageOf({lower, {}}, row.count, row.share), row.lowerConfidence, printed);
    }
    EXPECT_NEAR(coverageOf({{}, upper.value_or(row.count)}, row.count, row.share),
        row.upperConfidence, printed);
}

INSTANTIATE_TEST_SUITE_P(R, OneSidedTable, ::testing::ValuesIn(oneSidedRows));

TEST(LimitRanks, PublishedExamples)
{
    // USEPA (2009) Unified Guidance, ex. 17-4 and 21-6, through the EnvStats help.
    EXPECT_NEAR(coverageOf({{}, 24}, 24, 0.95), 0.708010975661, 1e-11);
    EXPECT_NEAR(coverageOf({{}, 24}, 24, 0.88), 0.953485952547, 1e-11);
    EXPECT_NEAR(coverageOf({10, {}}, 12, 0.95), 0.980431738, 1e-9);
    EXPECT_NEAR(coverageOf({11, {}}, 12, 0.95), 0.881640143029, 1e-11);
    EXPECT_NEAR(coverageOf({12, {}}, 12, 0.95), 0.540360087663, 1e-11);
    // ACE.13.TCE.df of EnvStats: median 20.3, ranks (2, 9).
    std::vector<double> tce {20.9, 9.17, 5.96, 41.5, 34.3, 19.7, 38.9, 8.18, 9.13, 28.5};
    std::ranges::sort(tce);
    EXPECT_NEAR(quantileType7(tce, 0.5).value(), 20.3, 1e-12);
    EXPECT_EQ(quantileInterval({tce, 0}, 0.5), (Interval {8.18, 38.9}));
}

TEST(QuantileFigure, SaysHowManyItNeeds)
{
    std::vector<double> values;
    for (int i = 0; i < 71; ++i) {
        values.push_back(i);
    }
    const QuantileFigure few = quantileFigure({values, 0}, 0.95);
    EXPECT_EQ(few.needs, 72);
    EXPECT_TRUE(few.interval.low.has_value());
    EXPECT_FALSE(few.interval.high.has_value());
    values.push_back(71);
    const QuantileFigure enough = quantileFigure({values, 0}, 0.95);
    EXPECT_EQ(enough.needs, std::nullopt);
    EXPECT_TRUE(enough.interval.high.has_value());
    // The 5 % quantile is the mirror image.
    EXPECT_EQ(quantileFigure({values, 0}, 0.05).needs, std::nullopt);
    EXPECT_EQ(fewestForInterval(0.05), 72);
    EXPECT_EQ(fewestForInterval(0.01), 368);
}

TEST(QuantileFigure, LostAnswersLeaveAnEndOpenWithoutAskingForMore)
{
    std::vector<double> values;
    for (int i = 0; i < 96; ++i) {
        values.push_back(i);
    }
    const QuantileFigure figure = quantileFigure({values, 4}, 0.95);
    EXPECT_EQ(figure.needs, std::nullopt);
    EXPECT_EQ(figure.interval.low, 89.0);
    EXPECT_EQ(figure.interval.high, std::nullopt);
}

TEST(QuantileFigure, IntervalHoldsTheTruthAsOftenAsItSays)
{
    // Uniform values: the true quantile is the share itself. Exact coverage is known, so the rate
    // may miss it by the counting error only (4 standard errors, seed 5).
    std::mt19937_64 random(5);
    constexpr int trials = 1500;
    for (const double share : {0.05, 0.5, 0.95}) {
        int held = 0;
        std::vector<double> values(100);
        for (int trial = 0; trial < trials; ++trial) {
            for (double& value : values) {
                value = static_cast<double>(random() >> 11U) * 0x1p-53;
            }
            std::ranges::sort(values);
            const Interval interval = quantileFigure({values, 0}, share).interval;
            held += *interval.low <= share && share <= *interval.high ? 1 : 0;
        }
        const double coverage = coverageOf(orderStatisticRanks(100, share), 100, share);
        EXPECT_NEAR(static_cast<double>(held) / trials, coverage,
            4.0 * std::sqrt(coverage * (1.0 - coverage) / trials));
    }
}

TEST(QuantileInterval, EndAmongLostOnesIsOpen)
{
    // N = 10 has ranks 2 and 9; with 8 known values rank 9 is a lost answer.
    const std::vector<double> known {1, 2, 3, 4, 5, 6, 7, 8};
    EXPECT_EQ(quantileInterval({known, 2}, 0.5), (Interval {2.0, std::nullopt}));
}

} // namespace
} // namespace twinlamp::stats
