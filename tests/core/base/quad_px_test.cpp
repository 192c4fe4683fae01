// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/quad_px.h"

#include <algorithm>
#include <gmock/gmock.h>

namespace twinlamp {

namespace {

using testing::HasSubstr;

QuadPx turned() { return {{CornerPx {40, 20}, {200, 50}, {190, 170}, {25, 140}}}; }

TEST(QuadPx, ReadsEightNumbersAndWritesThemBack)
{
    const auto read = parseQuad("40,20,200,50,190,170,25,140");
    ASSERT_TRUE(read);
    EXPECT_EQ(*read, turned());
    EXPECT_EQ(toText(*read), "40,20,200,50,190,170,25,140");
}

TEST(QuadPx, RefusesOtherTexts)
{
    for (const char* text : {"", "1,2,3,4", "1,2,3,4,5,6,7", "1,2,3,4,5,6,7,8,9", "1,2,3,4,5,6,7,",
             "1,2,3,4,5,6,7,8 ", "1,2,3,4.5,5,6,7,8", "1,2,3,4,5,6,7,99999999"}) {
        EXPECT_FALSE(parseQuad(text)) << text;
    }
}

TEST(QuadPx, LiesInTheRectangleAroundItsCorners)
{
    EXPECT_EQ(boundingRect(turned()), (RectPx {25, 20, 175, 150}));
}

TEST(QuadPx, OfARectangleIsThatRectangle)
{
    const RectPx rect {12, 8, 100, 60};
    EXPECT_EQ(boundingRect(quadOf(rect)), rect);
    EXPECT_FALSE(quadProblem(quadOf(rect)));
}

TEST(QuadPx, MayBeTurnedAllTheWayRound)
{
    // The same outline from another corner: a panel on its side or upside down.
    QuadPx quad = turned();
    for (int i = 0; i < 4; ++i) {
        EXPECT_FALSE(quadProblem(quad)) << toText(quad);
        std::rotate(quad.corners.begin(), quad.corners.begin() + 1, quad.corners.end());
    }
}

TEST(QuadPx, SaysThatCornersGoTheWrongWayRound)
{
    QuadPx quad = turned();
    std::ranges::reverse(quad.corners);
    EXPECT_THAT(quadProblem(quad).value(), HasSubstr("counter-clockwise"));
}

TEST(QuadPx, SaysThatSidesCross)
{
    QuadPx quad = turned();
    std::swap(quad.corners[1], quad.corners[2]);
    EXPECT_THAT(quadProblem(quad).value(), HasSubstr("cross"));
}

TEST(QuadPx, SaysThatACornerIsDentedOrFlat)
{
    QuadPx dented = turned();
    dented.corners[2] = {80, 60};
    EXPECT_THAT(quadProblem(dented).value(), HasSubstr("dented"));
    QuadPx flat = turned();
    flat.corners[2] = {113, 96}; // on the line from the second corner to the fourth
    EXPECT_THAT(quadProblem(flat).value(), HasSubstr("flat"));
}

TEST(QuadPx, SaysThatCornersLieTooClose)
{
    QuadPx quad = turned();
    quad.corners[3] = {quad.corners[0].x - 2, quad.corners[0].y + 7}; // 7.3 px
    EXPECT_THAT(quadProblem(quad).value(), HasSubstr("close"));
}

} // namespace

} // namespace twinlamp
