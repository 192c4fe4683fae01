// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/pulse_light.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::trace {

namespace {

/// Pulses of 2.5 ms every 16.7 ms or so, each up to 1 ms early or late, twice as high in every
/// other third of a second; frames of 2.08 ms with 1.7 ms of exposure.
struct Footage
{
    std::vector<double> startsMs;
    std::vector<double> timeMs;
    std::vector<float> light;
    double frameMs = 1000.0 / 480.0;
    double exposureMs = 1.7;
    double pulseMs = 2.5;

    [[nodiscard]] static double heightAt(double ms)
    {
        return static_cast<int>(ms / 333.0) % 2 == 0 ? 0.4 : 0.8;
    }

    explicit Footage(unsigned seed)
    {
        std::mt19937 random(seed);
        std::uniform_real_distribution<double> wobble(-1.0, 1.0);
        std::normal_distribution<double> noise(0.0, 5e-4);
        for (int pulse = 0; pulse < 162; ++pulse) {
            startsMs.push_back(8.0 + pulse * 1000.0 / 60.0 + wobble(random));
        }
        for (int k = 0; k < 1280; ++k) {
            timeMs.push_back(k * frameMs);
            double sum = 0.001;
            for (const double start : startsMs) {
                sum += heightAt(start) * litPart(timeMs.back(), exposureMs, start, pulseMs);
            }
            light.push_back(static_cast<float>(sum + noise(random)));
        }
    }
};

TEST(SinglePulses, AreTimedEachForItself)
{
    for (unsigned seed = 1; seed <= 4; ++seed) {
        const Footage footage(seed);
        const auto found = findSinglePulses(
            footage.light, footage.timeMs, {1000.0 / 60.0, {footage.exposureMs}});
        ASSERT_TRUE(found);
        EXPECT_NEAR(found->litMs, footage.pulseMs, 0.35);
        ASSERT_NEAR(static_cast<double>(found->pulses.size()),
            static_cast<double>(footage.startsMs.size()), 2.0);
        double worst = 0.0;
        for (const SinglePulse& pulse : found->pulses) {
            const auto nearest = std::ranges::min(footage.startsMs, {},
                [&](double start) { return std::abs(start - pulse.startMs); });
            worst = std::max(worst, std::abs(nearest - pulse.startMs));
        }
        // A fifth of a frame: the start moves with half of what the length is off.
        EXPECT_LT(worst, 0.42) << seed;
    }
}

TEST(SinglePulses, StandWherePulsesDoNotKeepToTheirRhythm)
{
    const Footage footage(9);
    const auto pulses
        = findPulses(footage.light, footage.timeMs, footage.frameMs, footage.exposureMs);
    ASSERT_TRUE(pulses);
    ASSERT_FALSE(pulses->single.empty());
    EXPECT_TRUE(pulses->isResolved);
    // In the dark the next pulse is waited for, in a pulse nothing is.
    const SinglePulse& tenth = pulses->single[10];
    EXPECT_DOUBLE_EQ(pulses->nextLitMs(tenth.startMs - 3.0), tenth.startMs);
    EXPECT_DOUBLE_EQ(pulses->nextLitMs(tenth.startMs + 0.5), tenth.startMs + 0.5);
    // Taken out, both states keep their own mean.
    const auto mean = withoutPulses(footage.light, footage.timeMs, *pulses);
    double worst = 0.0;
    for (std::size_t k = 0; k < mean.size(); ++k) {
        if (std::isfinite(mean[k])) {
            const double height
                = Footage::heightAt(pulses->nearestStartMs(footage.timeMs[k] + 1.0));
            const double level = 0.001 + height * footage.pulseMs / (1000.0 / 60.0);
            worst = std::max(worst, std::abs(static_cast<double>(mean[k]) / level - 1.0));
        }
    }
    EXPECT_LT(worst, 0.25);
}

TEST(SinglePulses, NeedDarkBetweenThem)
{
    const Footage footage(5);
    std::vector<float> steady(footage.light.size(), 0.5F);
    EXPECT_FALSE(findSinglePulses(steady, footage.timeMs, {1000.0 / 60.0, {1.7}}));
    // Pulses that run into one another leave no run of frames to a period.
    for (std::size_t k = 0; k < steady.size(); ++k) {
        steady[k] = static_cast<float>(0.5 + 0.3 * std::sin(0.785 * static_cast<double>(k)));
    }
    EXPECT_FALSE(findSinglePulses(steady, footage.timeMs, {1000.0 / 60.0, {1.7}}));
}

} // namespace

} // namespace twinlamp::trace
