// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/pulse_light.h"
#include "core/trace/pulse_rhythm.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::trace {

namespace {

/// A lamp that switches every quarter of a second, its light in rectangular pulses over a floor,
/// seen by a box exposure.
struct Footage
{
    double frameMs = 1.0;
    double exposureMs = 0.9;
    double periodMs = 10.0;
    double pulseMs = 2.0;
    double pulseFromMs = 3.3;
    double floor = 0.004;
    double bright = 0.7; ///< while a pulse is lit
    double dim = 0.04;
    double noise = 1e-3;
    std::size_t frames = 3000;

    [[nodiscard]] bool isBright(double ms) const { return static_cast<int>(ms / 250.0) % 2 == 1; }

    [[nodiscard]] double lightAt(double ms) const
    {
        const double since = (ms - pulseFromMs) / periodMs;
        const bool isLit = (since - std::floor(since)) * periodMs < pulseMs;
        return floor + (isLit ? (isBright(ms) ? bright : dim) : 0.0);
    }

    [[nodiscard]] std::vector<double> times() const
    {
        std::vector<double> times;
        for (std::size_t k = 0; k < frames; ++k) {
            times.push_back(static_cast<double>(k) * frameMs);
        }
        return times;
    }

    [[nodiscard]] std::vector<float> light(unsigned seed) const
    {
        std::mt19937 random(seed);
        std::normal_distribution<double> normal(0.0, noise);
        std::vector<float> light;
        constexpr int parts = 64;
        for (std::size_t k = 0; k < frames; ++k) {
            double sum = 0.0;
            for (int i = 0; i < parts; ++i) {
                sum += lightAt(static_cast<double>(k) * frameMs + exposureMs * (i + 0.5) / parts);
            }
            light.push_back(static_cast<float>(sum / parts + normal(random)));
        }
        return light;
    }
};

TEST(PulseRhythm, IsFoundToAPartOfATenthOfAPeriodOverTheWholeClip)
{
    for (const double period : {7.3, 10.0, 11.1111, 16.67}) {
        Footage footage;
        footage.periodMs = period;
        footage.pulseMs = 0.3 * period;
        const auto found = pulseRhythmMs(footage.light(1), footage.times(), footage.frameMs);
        ASSERT_TRUE(found) << period;
        const double periods = static_cast<double>(footage.frames) / period;
        EXPECT_LT(std::abs(*found - period) * periods, 0.1 * period) << period;
    }
}

TEST(PulseRhythm, ShowsAsItsAliasWhereFramesAreTooFew)
{
    // 480 pulses a second at 1000 frames/s lie at 0.48 turns a frame: 2.0833 frames, below the
    // limit of two only by name. 740 a second fold to 260.
    Footage footage;
    footage.periodMs = 1000.0 / 740.0;
    footage.pulseMs = 0.5 * footage.periodMs;
    footage.exposureMs = 0.5;
    const auto found = pulseRhythmMs(footage.light(2), footage.times(), footage.frameMs);
    ASSERT_TRUE(found);
    EXPECT_NEAR(*found, 1000.0 / 260.0, 0.01);
}

TEST(PulseRhythm, IsNotSeenInASteadyLampThatSwitches)
{
    for (unsigned seed = 1; seed <= 40; ++seed) {
        Footage footage;
        footage.pulseMs = footage.periodMs;
        footage.noise = 5e-3;
        EXPECT_FALSE(pulseRhythmMs(footage.light(seed), footage.times(), footage.frameMs)) << seed;
    }
}

TEST(PulseLight, OfResolvedPulsesKnowsStartLengthAndFloor)
{
    for (const double length : {0.6, 2.0, 4.5}) {
        Footage footage;
        // Not a whole number of frames: the phases then leave the pulse's length in no doubt.
        footage.periodMs = 10.3;
        footage.pulseMs = length;
        const auto pulses
            = findPulses(footage.light(3), footage.times(), footage.frameMs, footage.exposureMs);
        ASSERT_TRUE(pulses);
        EXPECT_TRUE(pulses->isResolved);
        const double away = (pulses->litFromMs - footage.pulseFromMs) / pulses->periodMs;
        EXPECT_LT(std::abs(away - std::round(away)) * pulses->periodMs, 0.08) << length;
        EXPECT_NEAR(pulses->litMs, length, 0.12);
        EXPECT_NEAR(pulses->floor, footage.floor, 0.003);
        EXPECT_NEAR(pulses->nextLitMs(footage.pulseFromMs + length + 1.0),
            footage.pulseFromMs + footage.periodMs, 0.1);
        EXPECT_EQ(pulses->nextLitMs(footage.pulseFromMs + 0.5 * length),
            footage.pulseFromMs + 0.5 * length);
    }
}

TEST(PulseLight, TakenOutLeavesTheMeanOfBothStates)
{
    Footage footage;
    footage.periodMs = 25.0 / 12.0;
    footage.pulseMs = 0.5 * footage.periodMs;
    const auto light = footage.light(4);
    const auto times = footage.times();
    const auto pulses = findPulses(light, times, footage.frameMs, footage.exposureMs);
    ASSERT_TRUE(pulses);
    EXPECT_FALSE(pulses->isResolved);
    const auto mean = withoutPulses(light, times, *pulses);
    const double half = footage.pulseMs / footage.periodMs;
    double worst = 0.0;
    for (std::size_t k = 0; k < mean.size(); ++k) {
        const double level
            = footage.floor + half * (footage.isBright(times[k]) ? footage.bright : footage.dim);
        const bool isEdge = footage.isBright(times[k]) != footage.isBright(times[k] + 1.0);
        if (std::isfinite(mean[k]) && !isEdge) {
            worst = std::max(worst, std::abs(static_cast<double>(mean[k]) - level));
        }
    }
    // Pulses swing by 0.35 about the level; a twentieth of that is left at most.
    EXPECT_LT(worst, 0.02);
}

// 310 pulses a second at 240 frames/s rise and fall 70 times a second: what shows is a beat, not
// pulses to time one by one.
TEST(PulseLight, ThatBeatsWithTheFramesIsNotResolved)
{
    Footage footage;
    footage.frameMs = 1000.0 / 240.0;
    footage.exposureMs = 0.7 * footage.frameMs;
    footage.periodMs = 1000.0 / 310.0;
    footage.pulseMs = 0.4 * footage.periodMs;
    footage.dim = 0.3;
    const auto pulses
        = findPulses(footage.light(5), footage.times(), footage.frameMs, footage.exposureMs);
    ASSERT_TRUE(pulses);
    EXPECT_FALSE(pulses->isResolved);
    EXPECT_NEAR(pulses->periodMs, 1000.0 / 70.0, 0.05);
}

TEST(PulseLight, IsNothingWhereTheLightIsSteady)
{
    Footage footage;
    footage.pulseMs = footage.periodMs;
    EXPECT_FALSE(
        findPulses(footage.light(5), footage.times(), footage.frameMs, footage.exposureMs));
}

} // namespace

} // namespace twinlamp::trace
