// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/ruler.h"

#include <cmath>
#include <gtest/gtest.h>
#include <limits>
#include <random>

namespace twinlamp::ui {

TEST(AxisMapping, MapsEndsOntoEndsAndBack)
{
    const AxisMapping axis {10.0, 30.0, 100.0, 500.0};
    EXPECT_DOUBLE_EQ(axis.toPx(10.0), 100.0);
    EXPECT_DOUBLE_EQ(axis.toPx(30.0), 500.0);
    EXPECT_DOUBLE_EQ(axis.toPx(20.0), 300.0);
    EXPECT_DOUBLE_EQ(axis.toValue(300.0), 20.0);
    EXPECT_DOUBLE_EQ(axis.toPx(40.0), 700.0); // outside maps outside
}

TEST(AxisMapping, EmptySpanMapsToItsStart)
{
    EXPECT_DOUBLE_EQ((AxisMapping {5.0, 5.0, 10.0, 90.0}).toPx(5.0), 10.0);
    EXPECT_DOUBLE_EQ((AxisMapping {5.0, 9.0, 10.0, 10.0}).toValue(10.0), 5.0);
}

TEST(NiceStep, IsTheSmallestOfOneTwoFiveNotBelow)
{
    EXPECT_DOUBLE_EQ(niceStep(1.0), 1.0);
    EXPECT_DOUBLE_EQ(niceStep(1.01), 2.0);
    EXPECT_DOUBLE_EQ(niceStep(0.3), 0.5);
    EXPECT_DOUBLE_EQ(niceStep(5.1), 10.0);
    EXPECT_DOUBLE_EQ(niceStep(2000.0), 2000.0);
}

TEST(TickText, HasTheDecimalsOfItsStepAndATrueMinus)
{
    EXPECT_EQ(tickText(25.0, 5.0), QStringLiteral("25"));
    EXPECT_EQ(tickText(25.5, 0.5), QStringLiteral("25.5"));
    EXPECT_EQ(tickText(0.02, 0.02), QStringLiteral("0.02"));
    EXPECT_EQ(tickText(-5.0, 5.0), QString(QChar(0x2212)) + QStringLiteral("5"));
}

TEST(RulerTicks, LieOnMultiplesInsideTheSpan)
{
    const auto ticks = rulerTicks({14.2, 31.0, 0.0, 200.0}, 44.0);
    ASSERT_EQ(ticks.size(), 4U);
    EXPECT_EQ(ticks.front().label, QStringLiteral("15"));
    EXPECT_EQ(ticks.back().label, QStringLiteral("30"));
}

TEST(RulerTicks, IncludeEndsThatAreMultiples)
{
    const auto ticks = rulerTicks({0.0, 0.3, 0.0, 300.0}, 90.0);
    // A step of 0.1 is 100 px; the last multiple, 3 x 0.1, misses 0.3 by rounding alone.
    ASSERT_EQ(ticks.size(), 4U);
    EXPECT_EQ(ticks.front().label, QStringLiteral("0.0"));
    EXPECT_EQ(ticks.back().label, QStringLiteral("0.3"));
}

TEST(RulerTicks, KeepTheirDistanceOnAnyAxis)
{
    std::mt19937_64 random(11);
    std::uniform_real_distribution<double> low(-1e6, 1e6);
    std::uniform_real_distribution<double> exponent(-4.0, 6.0);
    for (int round = 0; round < 500; ++round) {
        const double from = low(random);
        const AxisMapping axis {from, from + std::pow(10.0, exponent(random)), 0.0, 700.0};
        const auto ticks = rulerTicks(axis, 50.0);
        ASSERT_LE(ticks.size(), 15U) << "round " << round;
        for (std::size_t i = 1; i < ticks.size(); ++i) {
            // The slack is the rounding of values near 1e6 shown on a span of 1e-4.
            ASSERT_GE(axis.toPx(ticks[i].value) - axis.toPx(ticks[i - 1].value), 49.0)
                << "round " << round;
        }
    }
}

TEST(RulerTicks, NoSpanHasNoTicks)
{
    EXPECT_TRUE(rulerTicks({1.0, 1.0, 0.0, 100.0}, 40.0).empty());
    EXPECT_TRUE(rulerTicks({2.0, 1.0, 0.0, 100.0}, 40.0).empty());
    EXPECT_TRUE(rulerTicks({0.0, 1.0, 50.0, 50.0}, 40.0).empty());
    EXPECT_TRUE(
        rulerTicks({0.0, std::numeric_limits<double>::infinity(), 0.0, 100.0}, 40.0).empty());
}

} // namespace twinlamp::ui
