// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/pulse_answer.h"

#include <gtest/gtest.h>
#include <limits>
#include <vector>

namespace twinlamp::onset {

namespace {

/// Pulses of 2 ms every 10 ms from 3 ms on, frames of 1 ms all exposure; the light without pulses
/// has the shares given, pulse by pulse, NaN between pulses.
struct Shown
{
    std::vector<float> light;
    std::vector<double> startMs;
    trace::PulseLight pulses;

    explicit Shown(const std::vector<double>& shares)
    {
        pulses.periodMs = 10.0;
        pulses.isResolved = true;
        pulses.litFromMs = 3.0;
        pulses.litMs = 2.0;
        for (std::size_t n = 0; n < shares.size(); ++n) {
            for (int k = 0; k < 10; ++k) {
                startMs.push_back(static_cast<double>(10 * n) + k);
                const bool isLit = k == 3 || k == 4;
                light.push_back(isLit ? static_cast<float>(0.1 + 0.4 * shares[n])
                                      : std::numeric_limits<float>::quiet_NaN());
            }
        }
    }

    [[nodiscard]] TimedTrace trace() const { return {light, startMs, {1.0, 1.0, 0.0, 0}, {}}; }

    [[nodiscard]] AnswerWindow window(Edge edge) const
    {
        return {edge, 0, light.size(), 15.0, 45.0};
    }
};

TEST(PulseAnswer, BeginsWithTheFirstPulseThatDiffersByATenth)
{
    const Shown shown({0.0, 0.0, 0.05, 0.3, 1.0, 1.0, 1.0, 1.0});
    const auto answer = pulseAnswer(shown.trace(), shown.pulses, shown.window(Edge::On));
    ASSERT_TRUE(answer);
    EXPECT_DOUBLE_EQ(answer->firstMs, 33.0);
    EXPECT_DOUBLE_EQ(answer->halfMs, 43.0);
    EXPECT_DOUBLE_EQ(answer->settledMs, 43.0);
    EXPECT_NEAR(answer->before, 0.1, 1e-6);
    EXPECT_NEAR(answer->after, 0.5, 1e-6);
}

TEST(PulseAnswer, OfOffBeginsWhereADimmerPulseWouldHaveBegun)
{
    const Shown shown({1.0, 1.0, 1.0, 0.0, 0.0, 0.0, 0.0});
    const auto answer = pulseAnswer(shown.trace(), shown.pulses, shown.window(Edge::Off));
    ASSERT_TRUE(answer);
    EXPECT_DOUBLE_EQ(answer->firstMs, 33.0);
    EXPECT_LT(answer->standardMs, 0.1);
}

TEST(PulseAnswer, InsideAPulseIsTimedWithinIt)
{
    Shown shown({0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0});
    // The first frame of the fourth pulse still shows the old picture, the second three quarters of
    // the new one: the change came a quarter into its exposure.
    shown.light[33] = 0.1F;
    shown.light[34] = 0.4F;
    const auto answer = pulseAnswer(shown.trace(), shown.pulses, shown.window(Edge::On));
    ASSERT_TRUE(answer);
    EXPECT_NEAR(answer->firstMs, 34.25, 1e-6);
    EXPECT_GT(answer->standardMs, 0.2);
}

TEST(PulseAnswer, NextToATenthHoldsBothPulses)
{
    const Shown shown({0.0, 0.0, 0.11, 1.0, 1.0, 1.0, 1.0});
    const auto answer = pulseAnswer(shown.trace(), shown.pulses, shown.window(Edge::On));
    ASSERT_TRUE(answer);
    EXPECT_DOUBLE_EQ(answer->firstMs, 23.0);
    EXPECT_GE(1.96 * answer->standardMs, 9.99);
}

TEST(PulseAnswer, DoesNotTakeUnevenPulsesForAChange)
{
    // Bright pulses that vary by 15 % of the step: the one before the change is no first light.
    const Shown shown({1.0, 0.86, 0.98, 0.85, 0.0, 0.0, 0.0, 0.0});
    AnswerWindow window = shown.window(Edge::Off);
    window.earliestMs = 30.0;
    const auto answer = pulseAnswer(shown.trace(), shown.pulses, window);
    ASSERT_TRUE(answer);
    EXPECT_DOUBLE_EQ(answer->firstMs, 43.0);
}

TEST(PulseAnswer, NeedsAStepOfItsSign)
{
    const Shown shown({1.0, 1.0, 1.0, 0.0, 0.0, 0.0});
    EXPECT_FALSE(pulseAnswer(shown.trace(), shown.pulses, shown.window(Edge::On)));
}

} // namespace

} // namespace twinlamp::onset
