// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/slow_beat.h"

#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::trace {
namespace {

constexpr double frameMs = 1000.0 / 240.0;
constexpr std::size_t frameCount = 2400;

/// A lamp that switches at moments of its own, seen by a box exposure through pulses.
struct Footage
{
    double pulseHz = 0.0; ///< 0: steady
    double duty = 0.4;
    double exposureMs = 0.6 * frameMs;
    double driftShare = 0.0; ///< slow wander of the light
    double settleMs = 0.0; ///< time constant of each hold's creep by a tenth of the light

    std::vector<double> timeMs;
    std::vector<float> light;
    std::vector<FrameRange> holds;

    void film(unsigned seed)
    {
        std::mt19937 random(seed);
        std::normal_distribution<double> noise(0.0, 0.004);
        std::uniform_real_distribution<double> holdLength(70.0, 160.0);
        double wander = 0.0;
        bool isLit = false;
        std::size_t next = 0;
        std::size_t since = 0;
        for (std::size_t k = 0; k < frameCount; ++k) {
            timeMs.push_back(static_cast<double>(k) * frameMs);
            if (k == next) {
                isLit = !isLit;
                since = k;
                next = k + static_cast<std::size_t>(holdLength(random));
                const auto from = static_cast<std::int64_t>(k) + 20;
                const auto to = static_cast<std::int64_t>(std::min(next, frameCount));
                holds.push_back({FrameIndex {from}, FrameIndex {to}});
            }
            wander = 0.98 * wander + 0.2 * driftShare * noise(random) / 0.004;
            const double creep = settleMs > 0.0
                ? 0.1 * std::exp(-static_cast<double>(k - since) * frameMs / settleMs)
                : 0.0;
            const double level = (isLit ? 0.6 : 0.05) * (1.0 + wander - creep);
            light.push_back(static_cast<float>(level * litShare(timeMs.back()) + noise(random)));
        }
    }

    // Light that the exposure gathers, as a share of what a steady light of the same mean gives.
    [[nodiscard]] double litShare(double startMs) const
    {
        if (pulseHz == 0.0) {
            return 1.0;
        }
        int lit = 0;
        constexpr int parts = 200;
        for (int i = 0; i < parts; ++i) {
            const double turns = (startMs + exposureMs * (i + 0.5) / parts) * pulseHz * 1e-3;
            lit += turns - std::floor(turns) < duty ? 1 : 0;
        }
        return static_cast<double>(lit) / (parts * duty);
    }
};

TEST(SlowBeat, OfPulsesNearTheFrameRateIsTheDifferenceOfBoth)
{
    for (const double pulseHz : {247.0, 255.3, 226.0, 491.0}) {
        Footage footage;
        footage.pulseHz = pulseHz;
        footage.film(1);
        const auto beat = findSlowBeat(footage.light, footage.timeMs, footage.holds);
        ASSERT_TRUE(beat) << pulseHz;
        const double expectedHz = std::abs(pulseHz - 240.0 * std::round(pulseHz / 240.0));
        EXPECT_NEAR(1000.0 / beat->periodMs, expectedHz, 0.02) << pulseHz;
        EXPECT_FALSE(beat->isResolved);
    }
}

// Closed form: the box exposure of the pulses, computed by litShare.
TEST(SlowBeat, KnowsTheShareOfEachFrame)
{
    Footage footage;
    footage.pulseHz = 247.0;
    footage.film(2);
    const auto beat = findSlowBeat(footage.light, footage.timeMs, footage.holds);
    ASSERT_TRUE(beat);
    for (std::size_t k = 100; k < 200; ++k) {
        // Three harmonics follow the corners of a trapezium to a tenth of its height.
        EXPECT_NEAR(beat->shareAt(footage.timeMs[k]), footage.litShare(footage.timeMs[k]), 0.17);
    }
}

// 123 pulses a second light every second frame, and less and less of it.
TEST(SlowBeat, OfAKnownRhythmIsFittedAtAnyLength)
{
    Footage footage;
    footage.pulseHz = 123.3;
    footage.duty = 0.46;
    footage.film(4);
    const double aliasMs = 1000.0 / (240.0 - 123.3);
    const auto beat = findSlowBeat(footage.light, footage.timeMs, footage.holds, aliasMs);
    ASSERT_TRUE(beat);
    for (std::size_t k = 100; k < 200; ++k) {
        EXPECT_NEAR(beat->shareAt(footage.timeMs[k]), footage.litShare(footage.timeMs[k]), 0.2);
    }
}

TEST(SlowBeat, IsNotSeenInASteadyLamp)
{
    for (unsigned seed = 1; seed <= 20; ++seed) {
        Footage footage;
        footage.film(seed);
        EXPECT_FALSE(findSlowBeat(footage.light, footage.timeMs, footage.holds)) << seed;
    }
}

TEST(SlowBeat, IsNotSeenInLightThatWandersOrCreeps)
{
    for (unsigned seed = 1; seed <= 20; ++seed) {
        Footage wandering;
        wandering.driftShare = 0.05;
        wandering.film(seed);
        EXPECT_FALSE(findSlowBeat(wandering.light, wandering.timeMs, wandering.holds)) << seed;
        Footage creeping;
        creeping.settleMs = 150.0;
        creeping.film(seed);
        EXPECT_FALSE(findSlowBeat(creeping.light, creeping.timeMs, creeping.holds)) << seed;
    }
}

TEST(SlowBeat, AsksForSixHolds)
{
    Footage footage;
    footage.pulseHz = 247.0;
    footage.film(3);
    const std::span<const FrameRange> holds(footage.holds);
    EXPECT_FALSE(findSlowBeat(footage.light, footage.timeMs, holds.first(5)));
}

} // namespace
} // namespace twinlamp::trace
