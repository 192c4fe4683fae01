// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/homography.h"

#include <gtest/gtest.h>

namespace twinlamp {

namespace {

constexpr double rounding = 1e-9;

void expectNear(PlanePoint point, PlanePoint expected)
{
    EXPECT_NEAR(point.x, expected.x, rounding);
    EXPECT_NEAR(point.y, expected.y, rounding);
}

// x = (60 u + 12 v + 10) / w, y = (4 u + 48 v + 20) / w with w = 1 + u / 4 - v / 5: its corners by
// hand.
const std::array<PlanePoint, 4> corners {PlanePoint {10.0, 20.0}, {70.0 / 1.25, 24.0 / 1.25},
    {82.0 / 1.05, 72.0 / 1.05}, {22.0 / 0.8, 68.0 / 0.8}};

PlanePoint closedForm(double u, double v)
{
    const double w = 1.0 + u / 4.0 - v / 5.0;
    return {(60.0 * u + 12.0 * v + 10.0) / w, (4.0 * u + 48.0 * v + 20.0) / w};
}

TEST(Homography, MapsTheUnitSquareAsTheClosedFormDoes)
{
    const Homography map(corners);
    for (const double u : {0.0, 0.25, 0.5, 1.0}) {
        for (const double v : {0.0, 0.4, 1.0}) {
            expectNear(map.toPicture({u, v}), closedForm(u, v));
        }
    }
}

TEST(Homography, FindsTheWayBack)
{
    const Homography map(corners);
    for (const double u : {0.0, 0.3, 1.0}) {
        for (const double v : {0.0, 0.7, 1.0}) {
            expectNear(map.toPanel(closedForm(u, v)), {u, v});
        }
    }
}

TEST(Homography, OfARectangleIsAShiftAndAScale)
{
    const Homography map(quadOf({30, 10, 200, 80}));
    expectNear(map.toPicture({0.25, 0.75}), {80.0, 70.0});
    const auto gradient = map.panelPerPx({77.0, 33.0});
    expectNear(gradient.perColumn, {1.0 / 200.0, 0.0});
    expectNear(gradient.perRow, {0.0, 1.0 / 80.0});
}

TEST(Homography, OfAQuarterTurnExchangesTheAxes)
{
    // The panel's top side is the picture's right one.
    const Homography map(QuadPx {{CornerPx {110, 20}, {110, 220}, {10, 220}, {10, 20}}});
    expectNear(map.toPicture({0.5, 0.1}), {100.0, 120.0});
    expectNear(map.panelPerPx({60.0, 90.0}).perRow, {1.0 / 200.0, 0.0});
}

TEST(Homography, GradientIsThatOfSmallSteps)
{
    const Homography map(corners);
    const PlanePoint at {40.0, 45.0};
    constexpr double step = 1e-4;
    const PlanePoint here = map.toPanel(at);
    const PlanePoint right = map.toPanel({at.x + step, at.y});
    const PlanePoint below = map.toPanel({at.x, at.y + step});
    const auto gradient = map.panelPerPx(at);
    EXPECT_NEAR(gradient.perColumn.x, (right.x - here.x) / step, 1e-6);
    EXPECT_NEAR(gradient.perColumn.y, (right.y - here.y) / step, 1e-6);
    EXPECT_NEAR(gradient.perRow.x, (below.x - here.x) / step, 1e-6);
    EXPECT_NEAR(gradient.perRow.y, (below.y - here.y) / step, 1e-6);
}

} // namespace

} // namespace twinlamp
