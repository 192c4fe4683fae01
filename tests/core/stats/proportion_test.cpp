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

} // namespace
} // namespace twinlamp::stats
