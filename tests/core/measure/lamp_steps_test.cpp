// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_steps.h"

#include <cmath>
#include <gtest/gtest.h>
#include <numbers>
#include <random>

namespace twinlamp::measure {

namespace {

constexpr std::size_t holdFrames = 240;
constexpr std::size_t gapFrames = 60; ///< between two stretches

std::vector<Stretch> stretches(std::size_t count)
{
    std::vector<Stretch> quiet;
    for (std::size_t i = 0; i < count; ++i) {
        quiet.push_back({i * holdFrames, (i + 1) * holdFrames - gapFrames, i % 2 == 1});
    }
    return quiet;
}

std::vector<float> filmed(double step, double drift, double noise, unsigned seed)
{
    std::mt19937 random(seed);
    std::normal_distribution<double> normal(0.0, noise);
    std::vector<float> light;
    for (std::size_t k = 0; k < 16 * holdFrames; ++k) {
        const double wave = std::sin(2.0 * std::numbers::pi * static_cast<double>(k) / 3700.0);
        const bool isLit = (k / holdFrames) % 2 == 1;
        light.push_back(
            static_cast<float>(0.05 + drift * wave + (isLit ? step : 0.0) + normal(random)));
    }
    return light;
}

TEST(StepsWithLamps, TellsAStepBelowTheDrift)
{
    for (unsigned seed = 1; seed <= 20; ++seed) {
        std::vector<float> light = filmed(0.001, 0.01, 0.001, seed);
        EXPECT_TRUE(stepsWithLamps({light}, stretches(16))) << seed;
    }
}

// Two tests at three standard errors of 15 steps: about one in 60 (Student's t, 14 degrees of
// freedom: 0.0096 each); 8 of 200 or more happen in less than one of 30.
TEST(StepsWithLamps, SeldomTellsAStepWhereThereIsNone)
{
    int told = 0;
    for (unsigned seed = 1; seed <= 200; ++seed) {
        std::vector<float> light = filmed(0.0, 0.01, 0.001, seed);
        told += stepsWithLamps({light}, stretches(16)) ? 1 : 0;
    }
    EXPECT_LT(told, 12);
}

TEST(StepsWithLamps, TooFewStepsAreNotTrusted)
{
    std::vector<float> light = filmed(0.0, 0.0, 0.001, 1);
    EXPECT_TRUE(stepsWithLamps({light}, stretches(2)));
}

} // namespace

} // namespace twinlamp::measure
