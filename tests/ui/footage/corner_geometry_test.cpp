// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/corner_geometry.h"

#include <gtest/gtest.h>
#include <random>

namespace twinlamp::ui {

namespace {

constexpr QSize picture(320, 180);

QuadPx turned() { return {{CornerPx {100, 40}, {220, 60}, {210, 150}, {90, 130}}}; }

QPolygonF polygonOf(const QuadPx& quad)
{
    QPolygonF polygon;
    for (const CornerPx corner : quad.corners) {
        polygon << QPointF(corner.x, corner.y);
    }
    return polygon;
}

} // namespace

TEST(CornerGripAt, CornersInsideAndOutside)
{
    const QPolygonF outline = polygonOf(turned());
    EXPECT_EQ(cornerGripAt(outline, {215, 64}, 9.0), CornerGrip {1});
    EXPECT_EQ(cornerGripAt(outline, {85, 133}, 9.0), CornerGrip {3}) << "from outside as well";
    EXPECT_EQ(cornerGripAt(outline, {150, 95}, 9.0), CornerGrip {});
    EXPECT_EQ(cornerGripAt(outline, {200, 45}, 9.0), std::nullopt) << "beside the top side";
}

TEST(PulledCorners, OneFollowsTheHandAndTheOthersStay)
{
    QuadPx expected = turned();
    expected.corners[2] = {225, 146};
    EXPECT_EQ(pulled(turned(), {2}, {15, -4}, picture), expected);
}

TEST(PulledCorners, StopAtThePicture)
{
    const QuadPx right = pulled(turned(), {1}, {400, -10}, picture);
    EXPECT_EQ(right.corners[1], (CornerPx {320, 50}));
    const QuadPx all = pulled(turned(), {}, {0, 400}, picture);
    EXPECT_EQ(boundingRect(all), (RectPx {90, 70, 130, 110})) << "moved, not cut";
}

TEST(PulledCorners, NeverDentTheOutline)
{
    // Across the panel and out on the other side.
    const QuadPx dented = pulled(turned(), {0}, {150, 140}, picture);
    EXPECT_FALSE(quadProblem(dented));
    EXPECT_NE(dented, turned()) << "it went as far as it could";
}

TEST(PulledCorners, WhateverThePullTheyBoundAPanelInThePicture)
{
    std::mt19937_64 random(19);
    std::uniform_int_distribution<int> by(-300, 300);
    std::uniform_int_distribution<std::size_t> which(0, 4);
    QuadPx quad = turned();
    for (int round = 0; round < 2'000; ++round) {
        const std::size_t corner = which(random);
        quad = pulled(quad, corner < 4 ? CornerGrip {corner} : CornerGrip {},
            {by(random), by(random)}, picture);
        ASSERT_TRUE(fits(quad, picture)) << "round " << round << ": " << toText(quad);
    }
}

} // namespace twinlamp::ui
