// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/frame_range.h"
#include "core/base/units.h"

#include <gtest/gtest.h>

namespace twinlamp {
namespace {

TEST(ParseFrameRate, ReadsWholeDecimalAndFraction)
{
    EXPECT_EQ(parseFrameRate("960"), (FrameRate {960, 1}));
    EXPECT_EQ(parseFrameRate("239.76"), (FrameRate {5994, 25}));
    EXPECT_EQ(parseFrameRate("240000/1001"), (FrameRate {240000, 1001}));
    EXPECT_EQ(parseFrameRate("480/2"), (FrameRate {240, 1}));
    EXPECT_EQ(parseFrameRate(".5"), (FrameRate {1, 2}));
}

TEST(ParseFrameRate, RefusesTheRest)
{
    for (const char* text :
        {"", "0", "-5", "abc", "1e3", "24,5", "5.", "1/0", "0/1", "240 ", "1/2/3", "nan"}) {
        EXPECT_EQ(parseFrameRate(text), std::nullopt) << text;
    }
}

TEST(FrameRateText, IsReadBackAsTheSameFraction)
{
    for (const FrameRate rate :
        {FrameRate {960, 1}, {5994, 25}, {240000, 1001}, {1, 3}, {1, 1'000'000}}) {
        EXPECT_EQ(parseFrameRate(toText(rate)), rate) << toText(rate);
    }
    EXPECT_EQ(toText(FrameRate {5994, 25}), "239.76");
}

TEST(ParseRect, ReadsFourNumbersOfARectangle)
{
    EXPECT_EQ(parseRect("10,20,30,40"), (RectPx {10, 20, 30, 40}));
    EXPECT_EQ(parseRect("-5,0,6,7"), (RectPx {-5, 0, 6, 7}));
    for (const char* text : {"", "1,2,3", "1,2,3,4,5", "1,2,0,4", "1,2,3,-4", "a,b,c,d",
             "1.5,2,3,4", "1,2,3,99999999"}) {
        EXPECT_EQ(parseRect(text), std::nullopt) << text;
    }
}

TEST(Intersection, OfApartRectanglesIsEmpty)
{
    EXPECT_EQ(intersection({0, 0, 10, 10}, {5, 6, 10, 10}), (RectPx {5, 6, 5, 4}));
    EXPECT_TRUE(intersection({0, 0, 10, 10}, {10, 0, 5, 5}).isEmpty());
}

TEST(LatencyFromMs, IsTheNearestNanosecond)
{
    EXPECT_EQ(latencyFromMs(25.3127).ns, 25'312'700);
    EXPECT_EQ(latencyFromMs(-0.0000006).ns, -1);
    EXPECT_EQ(latencyFromMs(0.1 + 0.2).ns, 300'000);
}

TEST(FrameRange, HasOneIntervalFewerThanFrames)
{
    EXPECT_EQ((FrameRange {{3}, {7}}).frameCount(), 4);
    EXPECT_EQ((FrameRange {{3}, {7}}).intervalCount(), 3);
    EXPECT_EQ((FrameRange {{7}, {3}}).frameCount(), 0);
    EXPECT_EQ((FrameRange {{3}, {3}}).intervalCount(), 0);
    EXPECT_FALSE((FrameRange {{3}, {7}}).contains({7})) << "the end is excluded";
}

TEST(FrameRateFromHz, KeepsAMicrohertz)
{
    EXPECT_EQ(frameRateFromHz(240.0), (FrameRate {240, 1}));
    EXPECT_EQ(frameRateFromHz(239.760239), (FrameRate {239760239, 1000000}));
}

} // namespace
} // namespace twinlamp
