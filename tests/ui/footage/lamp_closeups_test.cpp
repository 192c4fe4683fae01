// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/lamp_closeups.h"

#include <gtest/gtest.h>

namespace twinlamp::ui {

TEST(CloseupFrames, ShowTwoBeforeAndThreeAfter)
{
    const auto frames = closeupFrames({100}, 1'000);
    ASSERT_EQ(frames.size(), 6U);
    EXPECT_EQ(frames.front(), FrameIndex {98});
    EXPECT_EQ(frames.back(), FrameIndex {103});
}

TEST(CloseupFrames, EndWithTheClip)
{
    EXPECT_EQ(closeupFrames({0}, 1'000).size(), 4U);
    EXPECT_EQ(closeupFrames({999}, 1'000).size(), 3U);
    EXPECT_TRUE(closeupFrames({5}, 0).empty());
}

TEST(CloseupPart, IsSquareAroundTheRegionAndInsideThePicture)
{
    EXPECT_EQ(closeupPart({100, 60, 40, 20}, {320, 180}), (RectPx {90, 40, 60, 60}));
    const RectPx corner = closeupPart({0, 0, 20, 20}, {320, 180});
    EXPECT_EQ(corner, (RectPx {0, 0, 24, 24}));
    EXPECT_GE(closeupPart({50, 50, 2, 2}, {320, 180}).width, 8);
}

} // namespace twinlamp::ui
