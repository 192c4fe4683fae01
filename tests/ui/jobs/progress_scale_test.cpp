// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/jobs/progress_scale.h"

#include <gtest/gtest.h>
#include <limits>

namespace twinlamp::ui {

TEST(ScaledProgress, SmallCountsStayAsTheyAre)
{
    EXPECT_EQ(scaledProgress(3, 10), (ScaledProgress {3, 10}));
    EXPECT_EQ(scaledProgress(0, 10), (ScaledProgress {0, 10}));
}

TEST(ScaledProgress, UnknownTotalHasNoMaximum)
{
    EXPECT_EQ(scaledProgress(5, 0), (ScaledProgress {0, 0}));
    EXPECT_EQ(scaledProgress(5, -1), (ScaledProgress {0, 0}));
}

TEST(ScaledProgress, LargeCountsKeepTheirRatio)
{
    constexpr std::int64_t total = std::numeric_limits<std::int64_t>::max();
    const ScaledProgress half = scaledProgress(total / 2, total);
    EXPECT_GT(half.maximum, 0);
    EXPECT_NEAR(static_cast<double>(half.value) / half.maximum, 0.5, 1e-6);
    const ScaledProgress all = scaledProgress(total, total);
    EXPECT_EQ(all.value, all.maximum);
}

TEST(ScaledProgress, NeverLeavesItsRange)
{
    EXPECT_EQ(scaledProgress(20, 10), (ScaledProgress {10, 10}));
    EXPECT_EQ(scaledProgress(-4, 10), (ScaledProgress {0, 10}));
}

} // namespace twinlamp::ui
