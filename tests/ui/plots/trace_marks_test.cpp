// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/session_helpers.h"
#include "ui/plots/trace_marks.h"

#include <gtest/gtest.h>

namespace twinlamp::ui {

using tests::effectivePress;

TEST(TraceMarks, HoldEveryTimeThatAPressHas)
{
    const std::vector presses {effectivePress(0, 100.0, 125.0), effectivePress(1, 400.0, {})};
    const auto marks = traceMarks(presses);
    // Onset, first, half, settled of the answered one; the onset of the lost one.
    ASSERT_EQ(marks.size(), 5U);
    EXPECT_EQ(marks[0].mark, session::Mark::Onset);
    EXPECT_EQ(marks[1].mark, session::Mark::FirstLight);
    EXPECT_EQ(marks[4].press, 1);
}

TEST(TraceMarks, MovedMarkKeepsItsMeasuredPlace)
{
    auto press = effectivePress(0, 100.0, 125.0);
    press.press.firstLight = realTimeFromMs(126.0);
    const auto marks = traceMarks(std::vector {press});
    EXPECT_EQ(marks[1].time, realTimeFromMs(126.0));
    EXPECT_EQ(marks[1].measured, realTimeFromMs(125.0));
    EXPECT_FALSE(marks[0].measured.has_value());
}

TEST(MarkNear, TakesTheNearestOfItsLaneWithinReach)
{
    const auto marks = traceMarks(
        std::vector {effectivePress(0, 100.0, 125.0), effectivePress(1, 400.0, 424.0)});
    const AxisMapping axis {0.0, 500.0, 0.0, 500.0};
    const auto found = markNear(marks, Lane::Reference, axis, 402.0, 6.0, {});
    ASSERT_TRUE(found.has_value());
    EXPECT_EQ(marks[*found].press, 1);
    EXPECT_EQ(marks[*found].mark, session::Mark::Onset);
    EXPECT_FALSE(markNear(marks, Lane::Goggle, axis, 402.0, 6.0, {}).has_value());
    EXPECT_FALSE(markNear(marks, Lane::Reference, axis, 407.0, 6.0, {}).has_value());
}

TEST(MarkNear, ThePressInHandWinsOverANearerOne)
{
    const auto marks = traceMarks(
        std::vector {effectivePress(0, 100.0, 125.0), effectivePress(1, 104.0, 130.0)});
    const AxisMapping axis {0.0, 500.0, 0.0, 500.0};
    const auto found = markNear(marks, Lane::Reference, axis, 104.0, 6.0, 0);
    ASSERT_TRUE(found.has_value());
    EXPECT_EQ(marks[*found].press, 0);
}

TEST(SpanOfPress, ShowsAllItsMarksWithAir)
{
    const MsSpan span = spanOfPress(effectivePress(0, 100.0, 125.0).press);
    EXPECT_LT(span.low, 100.0);
    EXPECT_GT(span.high, 128.0);
    EXPECT_GE(span.length(), 60.0);
}

TEST(KeptInside, MovesBackWhatReachesOut)
{
    EXPECT_EQ(keptInside({-10.0, 20.0}, {0.0, 100.0}, 5.0), (MsSpan {0.0, 30.0}));
    EXPECT_EQ(keptInside({90.0, 130.0}, {0.0, 100.0}, 5.0), (MsSpan {60.0, 100.0}));
    EXPECT_EQ(keptInside({-50.0, 500.0}, {0.0, 100.0}, 5.0), (MsSpan {0.0, 100.0}));
}

TEST(KeptInside, WidensWhatIsTooShortAroundItsMiddle)
{
    EXPECT_EQ(keptInside({50.0, 50.2}, {0.0, 100.0}, 10.0), (MsSpan {45.1, 55.1}));
}

TEST(Zoomed, LeavesTheTimeUnderThePointer)
{
    const MsSpan closer = zoomed({0.0, 100.0}, 25.0, 2.0);
    EXPECT_DOUBLE_EQ(closer.length(), 50.0);
    EXPECT_DOUBLE_EQ((25.0 - closer.low) / closer.length(), 0.25);
}

TEST(MarkNear, StartOfTheSweepIsNeverTaken)
{
    auto press = effectivePress(0, 100.0, 125.0);
    press.press.sweepStart = press.measured.sweepStart = realTimeFromMs(125.4);
    const auto marks = traceMarks(std::vector {press});
    const AxisMapping axis {0.0, 500.0, 0.0, 500.0};
    const auto found = markNear(marks, Lane::Goggle, axis, 125.4, 6.0, 0);
    ASSERT_TRUE(found.has_value());
    EXPECT_EQ(marks[*found].mark, session::Mark::FirstLight);
}

TEST(MarkNear, FirstLightWinsOverHalfLightBesideIt)
{
    const auto marks = traceMarks(std::vector {effectivePress(0, 100.0, 125.0)});
    const AxisMapping axis {0.0, 500.0, 0.0, 500.0};
    const auto found = markNear(marks, Lane::Goggle, axis, 126.0, 6.0, 0); // on half light
    ASSERT_TRUE(found.has_value());
    EXPECT_EQ(marks[*found].mark, session::Mark::FirstLight);
    const AxisMapping closer {0.0, 50.0, 0.0, 500.0};
    const auto apart = markNear(marks, Lane::Goggle, closer, 1'260.0, 6.0, 0);
    ASSERT_TRUE(apart.has_value());
    EXPECT_EQ(marks[*apart].mark, session::Mark::HalfLight);
}

TEST(MarkNear, OfOtherPressesOnlyWhatIsDrawnIsTaken)
{
    const auto marks = traceMarks(std::vector {effectivePress(0, 100.0, 125.0)});
    const AxisMapping axis {0.0, 50.0, 0.0, 500.0};
    EXPECT_FALSE(markNear(marks, Lane::Goggle, axis, 1'280.0, 6.0, {}).has_value()); // settled
    EXPECT_TRUE(markNear(marks, Lane::Goggle, axis, 1'280.0, 6.0, 0).has_value());
}

} // namespace twinlamp::ui
