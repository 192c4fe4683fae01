// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/clustered_shares.h"

#include <gtest/gtest.h>
#include <vector>

namespace twinlamp::stats {
namespace {

using Counts = std::vector<Count>;

TEST(ClusteredDifference, ByTheWrittenFormula)
{
    // NumPy 1.24, SciPy 1.10: h and n of each setting as below; msb = sum(n * (h / n - p) ** 2)
    // over both / 5, msw = sum(h * (1 - h / n)) / (N - 7), n0 = (N - sum(sum(n ** 2) / sum(n))) /
    // 5; r = (msb - msw) / (msb + (n0 - 1) * msw); Newcombe with n / (1 + (sum(n ** 2) / sum(n) -
    // 1) * r) and t.ppf(.975, 5).
    const Counts a {{2, 20}, {0, 18}, {9, 25}};
    const Counts b {{12, 20}, {3, 15}, {15, 22}, {7, 20}};
    const ClusteredDifference found = clusteredDifference({a, b}, 0.95);
    EXPECT_NEAR(found.withinRun, 0.155960592538, 1e-10);
    EXPECT_NEAR(found.difference.estimate, 0.305916305916, 1e-10);
    EXPECT_NEAR(found.difference.low, -0.106259750823, 1e-8);
    EXPECT_NEAR(found.difference.high, 0.593501842331, 1e-8);
}

TEST(ClusteredDifference, PValueIsTheErrorAtWhichTheIntervalEndsAtZero)
{
    const Counts a {{2, 20}, {0, 18}, {9, 25}};
    const Counts b {{12, 20}, {3, 15}, {15, 22}, {7, 20}};
    const double error = clusteredDifference({a, b}, 0.95).pValue;
    EXPECT_NEAR(clusteredDifference({a, b}, 1.0 - error).difference.low, 0.0, 1e-9);
}

TEST(ClusteredDifference, RunsThatAgreeGiveNewcombes)
{
    const Counts a {{2, 20}, {2, 20}, {2, 20}};
    const Counts b {{5, 20}, {5, 20}, {5, 20}};
    const ClusteredDifference found = clusteredDifference({a, b}, 0.95);
    const ShareDifference plain = newcombeDifference({15, 60}, {6, 60});
    EXPECT_EQ(found.withinRun, 0.0);
    EXPECT_NEAR(found.difference.low, plain.low, 1e-12);
    EXPECT_NEAR(found.difference.high, plain.high, 1e-12);
    EXPECT_NEAR(found.pValue, newcombePValue({15, 60}, {6, 60}), 1e-9);
}

TEST(ClusteredDifference, RunsLateAsAWholeCountOnce)
{
    const Counts a {{0, 20}, {0, 20}, {20, 20}};
    const Counts b {{20, 20}, {20, 20}, {0, 20}};
    const ClusteredDifference found = clusteredDifference({a, b}, 0.95);
    EXPECT_NEAR(found.withinRun, 1.0, 1e-12);
    // 2 of 3 less 1 of 3, with t of 4 degrees of freedom.
    const ShareDifference plain = newcombeOf({2.0 / 3.0, 3.0}, {1.0 / 3.0, 3.0}, 2.776445105);
    EXPECT_NEAR(found.difference.low, plain.low, 1e-8);
}

} // namespace
} // namespace twinlamp::stats
