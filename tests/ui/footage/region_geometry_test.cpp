// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/region_geometry.h"

#include <gtest/gtest.h>
#include <random>

namespace twinlamp::ui {

namespace {

constexpr QSize picture(320, 180);
constexpr RectPx region {100, 60, 40, 30};

} // namespace

TEST(GripAt, CornersEdgesInsideAndOutside)
{
    const QRectF view(100, 60, 80, 60);
    EXPECT_EQ(gripAt(view, {101, 61}, 8.0), (Grip {true, true, false, false}));
    EXPECT_EQ(gripAt(view, {179, 92}, 8.0), (Grip {false, false, true, false}));
    EXPECT_EQ(gripAt(view, {140, 90}, 8.0), wholeRegion);
    EXPECT_FALSE(gripAt(view, {60, 60}, 8.0).holds());
}

TEST(GripAt, SmallRegionCanStillBeMoved)
{
    EXPECT_EQ(gripAt(QRectF(100, 100, 12, 12), {106, 106}, 9.0), wholeRegion);
}

TEST(Pulled, MovesAndStopsAtThePicture)
{
    EXPECT_EQ(pulled(region, wholeRegion, {5, -7}, picture), (RectPx {105, 53, 40, 30}));
    EXPECT_EQ(pulled(region, wholeRegion, {1000, 1000}, picture), (RectPx {280, 150, 40, 30}));
    EXPECT_EQ(pulled(region, wholeRegion, {-1000, -1000}, picture), (RectPx {0, 0, 40, 30}));
}

TEST(Pulled, EdgesFollowAndTheOppositeOnesStay)
{
    EXPECT_EQ(
        pulled(region, {true, true, false, false}, {-10, 5}, picture), (RectPx {90, 65, 50, 25}));
    EXPECT_EQ(
        pulled(region, {false, false, true, true}, {10, 5}, picture), (RectPx {100, 60, 50, 35}));
}

TEST(Pulled, NeverTurnsInsideOut)
{
    EXPECT_EQ(pulled(region, {true, false, false, false}, {500, 0}, picture),
        (RectPx {138, 60, smallestRegionPx, 30}));
    EXPECT_EQ(pulled(region, {false, false, false, true}, {0, -500}, picture),
        (RectPx {100, 60, 40, smallestRegionPx}));
}

TEST(Pulled, WhateverThePullTheRegionStaysInThePicture)
{
    std::mt19937_64 random(17);
    std::uniform_int_distribution<int> by(-400, 400);
    std::uniform_int_distribution<int> bits(1, 15);
    RectPx rect = region;
    for (int round = 0; round < 2'000; ++round) {
        const int grip = bits(random);
        rect = pulled(rect, {(grip & 1) != 0, (grip & 2) != 0, (grip & 4) != 0, (grip & 8) != 0},
            {by(random), by(random)}, picture);
        ASSERT_EQ(fitted(rect, picture), rect) << "round " << round;
    }
}

TEST(Fitted, CutsToPictureAndSmallestSize)
{
    EXPECT_EQ(fitted({-20, 170, 40, 30}, picture), (RectPx {0, 150, 40, 30}));
    EXPECT_EQ(fitted({10, 10, 0, 900}, picture), (RectPx {10, 0, smallestRegionPx, 180}));
}

} // namespace twinlamp::ui
