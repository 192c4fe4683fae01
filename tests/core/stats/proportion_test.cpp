// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/proportion.h"
#include "core/stats/special_functions.h"

#include <cmath>
#include <gtest/gtest.h>
#include <ostream>
#include <vector>

namespace twinlamp::stats {
namespace {

struct Row
{
    Count count;
    double low;
    double high;
};

void PrintTo(const Row& row, std::ostream* out)
{
    *out << row.count.hits << " of " << row.count.trials;
}

/// R 4.2.2 binom.test and SciPy 1.10 binomtest(..).proportion_ci("exact"), which agree. The first
/// four are in R. G. Newcombe (1998), Statistics in Medicine 17, 857-872, Table I; 4/20 is in the
/// documentation of Boost.Math; 682/925 in R's help, after Conover (1971) p. 97.
const std::vector<Row> rows {
    {{81, 263}, 0.2527367456, 0.3676219226},
    {{15, 148}, 0.0578440101, 0.1616504903},
    {{0, 20}, 0.0, 0.1684334710},
    {{1, 29}, 0.0008726469, 0.1776442955},
    {{4, 20}, 0.0573339971, 0.4366140030},
    {{0, 59}, 0.0, 0.0606089010},
    {{0, 100}, 0.0, 0.0362166926},
    {{0, 300}, 0.0, 0.0122209747},
    {{2, 100}, 0.0024313368, 0.0703839325},
    {{0, 1}, 0.0, 0.975},
    {{682, 925}, 0.7076682641, 0.7654065582},
};

class ClopperPearsonTable : public ::testing::TestWithParam<Row>
{
};

TEST_P(ClopperPearsonTable, MatchesOtherSystems)
{
    const ShareInterval interval = clopperPearson(GetParam().count);
    // Half a unit of the last digit printed.
    EXPECT_NEAR(interval.low, GetParam().low, 5e-11);
    EXPECT_NEAR(interval.high, GetParam().high, 5e-11);
}

INSTANTIATE_TEST_SUITE_P(Published, ClopperPearsonTable, ::testing::ValuesIn(rows));

TEST(ClopperPearson, OtherConfidences)
{
    // Boost.Math documentation, 4 of 20: 90 % 0.07135 0.40103, 99 % 0.03576 0.50661.
    EXPECT_NEAR(clopperPearson({4, 20}, 0.90).low, 0.07135, 5e-6);
    EXPECT_NEAR(clopperPearson({4, 20}, 0.90).high, 0.40103, 5e-6);
    EXPECT_NEAR(clopperPearson({4, 20}, 0.99).low, 0.03576, 5e-6);
    EXPECT_NEAR(clopperPearson({4, 20}, 0.99).high, 0.50661, 5e-6);
}

TEST(ClopperPearson, HitsAndMissesAreMirrored)
{
    for (int hits = 0; hits <= 17; ++hits) {
        const ShareInterval late = clopperPearson({hits, 17});
        const ShareInterval inTime = clopperPearson({17 - hits, 17});
        EXPECT_NEAR(late.low, 1.0 - inTime.high, 1e-12);
        EXPECT_NEAR(late.high, 1.0 - inTime.low, 1e-12);
    }
}

TEST(ClopperPearson, OneSidedLimits)
{
    // R and Boost: one-sided 95 % upper limits are the upper ends at 90 %; none of n: 1 -
    // 0.05^(1/n).
    const auto limit = [](Count count) { return clopperPearson(count, 0.90).high; };
    EXPECT_NEAR(limit({0, 14}), 0.19263618, 5e-9);
    EXPECT_NEAR(limit({0, 20}), 0.1391083407, 5e-11);
    EXPECT_NEAR(limit({0, 59}), 0.0495076099, 5e-11);
    EXPECT_NEAR(limit({0, 100}), 0.0295130496, 5e-11);
    EXPECT_NEAR(limit({0, 300}), 0.0099360819, 5e-11);
    EXPECT_NEAR(limit({1, 29}), 0.1533920245, 5e-11);
    EXPECT_NEAR(limit({2, 100}), 0.0616192004, 5e-11);
    EXPECT_NEAR(limit({81, 263}), 0.3581784956, 5e-11);
    // Boost.Math documentation, 400 of 2000: 0.18267 0.21821.
    EXPECT_NEAR(clopperPearson({400, 2000}).low, 0.18267, 5e-6);
    EXPECT_NEAR(clopperPearson({400, 2000}).high, 0.21821, 5e-6);
}

TEST(LargestMissedShare, IsTheUpperLimitOfNone)
{
    // R and Boost: 1 - 0.05^(1/n), against the rule of three.
    EXPECT_NEAR(largestMissedShare(14), 0.19263618, 5e-9);
    EXPECT_NEAR(largestMissedShare(59), 0.0495076099, 5e-11);
    EXPECT_NEAR(largestMissedShare(300), 0.0099360819, 5e-11);
    EXPECT_EQ(largestMissedShare(0), 1.0);
}

TEST(Wilson, MatchesOtherSystems)
{
    // R prop.test(correct = FALSE) and SciPy; the first four in Newcombe (1998) Table I.
    const std::vector<Row> wilsonRows {
        {{81, 263}, 0.2552885199, 0.3662095770},
        {{15, 148}, 0.0623863995, 0.1604872417},
        {{0, 20}, 0.0, 0.1611251581},
        {{1, 29}, 0.0061132143, 0.1717552188},
        {{4, 20}, 0.0806576626, 0.4160174323},
        {{0, 59}, 0.0, 0.0611293705},
        {{0, 100}, 0.0, 0.0369935},
        {{0, 300}, 0.0, 0.0126429712},
        {{2, 100}, 0.0055019676, 0.0700117907},
        {{0, 1}, 0.0, 0.79345069},
        {{682, 925}, 0.70799599, 0.76463580},
    };
    for (const Row& row : wilsonRows) {
        const ShareInterval interval = wilson(row.count);
        EXPECT_NEAR(interval.low, row.low, 5e-9) << row.count.hits << " of " << row.count.trials;
        EXPECT_NEAR(interval.high, row.high, 5e-9) << row.count.hits << " of " << row.count.trials;
    }
    EXPECT_EQ(wilson({0, 0}), (ShareInterval {0.0, 1.0}));
}

TEST(NewcombeDifference, MatchesPublishedTable)
{
    // Newcombe (1998), Statistics in Medicine 17, 873-890, Table II; digits by statsmodels.
    const ShareDifference first = newcombeDifference({56, 70}, {48, 80});
    EXPECT_NEAR(first.estimate, 0.2, 1e-15);
    EXPECT_NEAR(first.low, 0.052431472402, 5e-13);
    EXPECT_NEAR(first.high, 0.333872654037, 5e-13);
    const ShareDifference second = newcombeDifference({9, 10}, {3, 10});
    EXPECT_NEAR(second.low, 0.170522723935, 5e-13);
    EXPECT_NEAR(second.high, 0.809017973535, 5e-13);
    const ShareDifference third = newcombeDifference({5, 56}, {0, 29});
    EXPECT_NEAR(third.low, -0.038137147904, 5e-13);
    EXPECT_NEAR(third.high, 0.192560013855, 5e-13);
}

TEST(NewcombeDifference, MirrorsWithItsSettings)
{
    const ShareDifference forth = newcombeDifference({3, 40}, {9, 50});
    const ShareDifference back = newcombeDifference({9, 50}, {3, 40});
    EXPECT_NEAR(forth.low, -back.high, 1e-15);
    EXPECT_NEAR(forth.high, -back.low, 1e-15);
    EXPECT_EQ(newcombeDifference({0, 0}, {1, 2}), (ShareDifference {0.0, -1.0, 1.0}));
}

TEST(ClopperPearson, NoTrialsSayNothing)
{
    EXPECT_EQ(clopperPearson({0, 0}), (ShareInterval {0.0, 1.0}));
}

TEST(ClopperPearson, NeverShortOfItsConfidence)
{
    // Exact coverage: the chance of all counts whose interval holds the true share.
    for (const double share : {0.003, 0.05, 0.2, 0.5}) {
        for (const std::int64_t trials : {10, 40, 93}) {
            double coverage = 0.0;
            for (std::int64_t hits = 0; hits <= trials; ++hits) {
                const ShareInterval interval = clopperPearson({hits, trials});
                if (interval.low <= share && share <= interval.high) {
                    coverage += binomialAtMost(hits, trials, share)
                        - binomialAtMost(hits - 1, trials, share);
                }
            }
            EXPECT_GE(coverage, 0.95 - 1e-12) << share << " of " << trials;
        }
    }
}

TEST(BinomialAtMost, MatchesExactSum)
{
    // Closed form: no success in 59 trials.
    EXPECT_NEAR(binomialAtMost(0, 59, 0.05), std::pow(0.95, 59), 1e-15);
    EXPECT_EQ(binomialAtMost(-1, 59, 0.05), 0.0);
    EXPECT_EQ(binomialAtMost(59, 59, 0.05), 1.0);
    // EnvStats, help of tolIntNparConfLevel: 1 - 0.95^24 = 0.708010975661.
    EXPECT_NEAR(binomialAtMost(23, 24, 0.95), 0.708010975661, 5e-13);
}

TEST(NewcombePValue, IsTheErrorAtWhichTheIntervalEndsAtZero)
{
    const double error = newcombePValue({56, 70}, {48, 80});
    const ShareDifference at = newcombeDifference({56, 70}, {48, 80}, 1.0 - error);
    EXPECT_NEAR(at.low, 0.0, 1e-9);
    EXPECT_DOUBLE_EQ(newcombePValue({48, 80}, {56, 70}), error);
    EXPECT_EQ(newcombePValue({3, 10}, {3, 10}), 1.0);
    EXPECT_EQ(newcombePValue({3, 10}, {0, 0}), 1.0);
    EXPECT_LT(newcombePValue({0, 400}, {400, 400}), 1e-12);
}

} // namespace
} // namespace twinlamp::stats
