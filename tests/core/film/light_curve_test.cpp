// SPDX-License-Identifier: GPL-3.0-or-later
// Closed forms: box exposure of a step, of an exponential; 10, 50 and 90 % of an exponential.
#include "core/film/light_curve.h"
#include "core/film/pulse_train.h"

#include <cmath>
#include <gtest/gtest.h>

namespace twinlamp::film {

namespace {

constexpr double exact = 1e-9; // of the running integral over 100 s of lead time

LightCurve stepAt(double ms)
{
    LightCurve curve(0.0);
    curve.approach(ms, 1.0, 0.0);
    return curve;
}

LightCurve exponentialAt(double ms, double tau)
{
    LightCurve curve(0.0);
    curve.approach(ms, 1.0, tau);
    return curve;
}

} // namespace

// A step at t0 seen through exposure E that ends at e: (e - t0) / E.
TEST(LightCurve, BoxExposureOfAStepIsTheLitFraction)
{
    const LightCurve curve = stepAt(10.0);
    std::size_t hint = 0;
    EXPECT_NEAR(curve.mean({8.0, 12.0}, hint), 0.5, exact);
    EXPECT_NEAR(curve.mean({9.9, 13.9}, hint), 0.975, exact);
    EXPECT_NEAR(curve.mean({5.0, 9.0}, hint), 0.0, exact);
    EXPECT_NEAR(curve.mean({11.0, 15.0}, hint), 1.0, exact);
}

// [t - tau (1 - exp(-t/tau))] / E on [0, E]; 1 - (tau/E)(exp(E/tau) - 1) exp(-t/tau) after it.
TEST(LightCurve, BoxExposureOfAnExponentialIsTheClosedForm)
{
    const double tau = 2.0;
    const double exposure = 4.0;
    const LightCurve curve = exponentialAt(0.0, tau);
    std::size_t hint = 0;
    for (const double t : {0.5, 1.0, 3.9}) {
        EXPECT_NEAR(curve.mean({t - exposure, t}, hint),
            (t - tau * (1.0 - std::exp(-t / tau))) / exposure, exact);
    }
    for (const double t : {4.0, 6.0, 20.0}) {
        EXPECT_NEAR(curve.mean({t - exposure, t}, hint),
            1.0 - tau / exposure * std::expm1(exposure / tau) * std::exp(-t / tau), exact);
    }
}

// 10, 50, 90 % of 1 - exp(-t): ln(10/9), ln 2, ln 10.
TEST(LightCurve, ExponentialCrossesAtItsLogarithms)
{
    const LightCurve curve = exponentialAt(5.0, 1.0);
    EXPECT_NEAR(curve.crossing(0.1, true, {0.0, 50.0}).value(), 5.105360515658, 1e-9);
    EXPECT_NEAR(curve.crossing(0.5, true, {0.0, 50.0}).value(), 5.693147180560, 1e-9);
    EXPECT_NEAR(curve.crossing(0.9, true, {0.0, 50.0}).value(), 7.302585092994, 1e-9);
}

TEST(LightCurve, FallingCrossesMirrored)
{
    LightCurve curve(1.0);
    curve.approach(5.0, 0.0, 3.0);
    EXPECT_NEAR(curve.crossing(0.9, false, {0.0, 50.0}).value(), 5.0 + 3.0 * 0.105360515658, 1e-9);
    EXPECT_NEAR(curve.crossing(0.1, false, {0.0, 50.0}).value(), 5.0 + 3.0 * 2.302585092994, 1e-9);
}

TEST(LightCurve, LevelThatIsNeverReachedIsNotCrossed)
{
    LightCurve curve(0.0);
    curve.approach(5.0, 0.6, 1.0);
    EXPECT_FALSE(curve.crossing(0.7, true, {0.0, 500.0}).has_value());
    EXPECT_FALSE(curve.crossing(0.5, true, {0.0, 5.5}).has_value());
}

TEST(LightCurve, NewApproachStartsFromWhereTheLightIs)
{
    LightCurve curve(0.0);
    curve.approach(0.0, 1.0, 2.0);
    curve.approach(2.0, 0.0, 4.0);
    std::size_t hint = 0;
    const double top = 1.0 - std::exp(-1.0);
    EXPECT_NEAR(curve.value(2.0, hint), top, exact);
    EXPECT_NEAR(curve.value(6.0, hint), top * std::exp(-1.0), exact);
    EXPECT_NEAR(curve.mean({2.0, 6.0}, hint), top * (1.0 - std::exp(-1.0)), exact);
}

TEST(LightCurve, AnyHintGivesTheSameLight)
{
    LightCurve curve(0.0);
    for (int i = 0; i < 50; ++i) {
        curve.approach(i, i % 2, 0.3);
    }
    for (std::size_t wrong = 0; wrong < 60; wrong += 7) {
        std::size_t hint = wrong;
        std::size_t fresh = 0;
        EXPECT_EQ(curve.value(31.4, hint), curve.value(31.4, fresh)) << wrong;
    }
}

TEST(PulseTrain, MeanOverWholePeriodsIsOne)
{
    PulseTrain train {{}, 4.0, 2.0};
    for (int i = 0; i < 20; ++i) {
        train.pulses.push_back({2.0 * i, 2.0 * i + 0.5});
    }
    EXPECT_NEAR(train.mean({1.3, 11.3}, 0.0), 1.0, 1e-12);
    EXPECT_NEAR(train.mean({4.0, 4.25}, 0.0), 4.0, 1e-12);
    EXPECT_NEAR(train.mean({4.75, 5.9}, 0.0), 0.0, 1e-12);
    EXPECT_NEAR(train.mean({4.75, 5.75}, 0.5), 1.0, 1e-12) << "shifted by half a millisecond";
}

TEST(PulseTrain, CurveIsSeenDuringPulsesOnly)
{
    const PulseTrain train {{{0.0, 1.0}, {4.0, 5.0}}, 4.0, 4.0};
    const LightCurve curve = stepAt(4.5);
    std::size_t hint = 0;
    EXPECT_NEAR(pulsedMean(curve, &train, {0.0, 8.0}, 0.0, hint), 4.0 * 0.5 / 8.0, 1e-9);
}

} // namespace twinlamp::film
