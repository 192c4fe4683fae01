// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/picture.h"

#include <gtest/gtest.h>

namespace twinlamp::footage {

namespace {

TEST(Orientation, TurnsTheSizeWithTheFlag)
{
    EXPECT_EQ((Orientation {90, 160, 120}).uprightWidthPx(), 120);
    EXPECT_EQ((Orientation {90, 160, 120}).uprightHeightPx(), 160);
    EXPECT_EQ((Orientation {180, 160, 120}).uprightWidthPx(), 160);
}

TEST(Orientation, TurnsRectanglesThereAndBack)
{
    const RectPx rect {10, 20, 30, 5};
    for (const int degrees : {0, 90, 180, 270}) {
        const Orientation orientation {degrees, 160, 120};
        EXPECT_EQ(toUpright(toStored(rect, orientation), orientation), rect) << degrees;
        EXPECT_EQ(toStored(toUpright(rect, orientation), orientation), rect) << degrees;
    }
}

TEST(Orientation, TurnedClockwiseTheStoredTopLeftComesToTheTopRight)
{
    const RectPx storedTopLeft {0, 0, 4, 2};
    EXPECT_EQ(toUpright(storedTopLeft, {90, 160, 120}), (RectPx {118, 0, 2, 4}));
    EXPECT_EQ(toUpright(storedTopLeft, {180, 160, 120}), (RectPx {156, 118, 4, 2}));
    EXPECT_EQ(toUpright(storedTopLeft, {270, 160, 120}), (RectPx {0, 156, 2, 4}));
}

TEST(Orientation, CornersLieWhereTheRectangleAroundThemDoes)
{
    const QuadPx upright {{CornerPx {12, 20}, {60, 28}, {55, 70}, {9, 64}}};
    for (const int degrees : {0, 90, 180, 270}) {
        const Orientation orientation {degrees, 160, 120};
        const QuadPx stored = toStored(upright, orientation);
        EXPECT_EQ(boundingRect(stored), toStored(boundingRect(upright), orientation)) << degrees;
        EXPECT_FALSE(quadProblem(stored)) << "turning leaves them clockwise, " << degrees;
    }
    // A quarter turn clockwise shows the stored left side on top.
    EXPECT_EQ(toStored(upright, {90, 160, 120}).corners[0], (CornerPx {20, 108}));
}

} // namespace

} // namespace twinlamp::footage
