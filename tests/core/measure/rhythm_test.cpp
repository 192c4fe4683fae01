// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/rhythm.h"

#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::measure {

namespace {

std::vector<double> onLattice(double intervalMs, double jitterMs, int count, unsigned seed)
{
    std::mt19937 random(seed);
    std::uniform_int_distribution<int> step(9, 31);
    std::normal_distribution<double> normal(0.0, jitterMs);
    std::vector<double> instants;
    int beat = 5;
    for (int i = 0; i < count; ++i) {
        instants.push_back(3.3 + beat * intervalMs + normal(random));
        beat += step(random);
    }
    return instants;
}

TEST(CommonRhythm, IsFoundToATenThousandth)
{
    for (const double interval : {8.3333, 10.0, 11.1111, 16.6667, 33.3333}) {
        const auto rhythm = commonRhythm(onLattice(interval, 0.15, 20, 51), {});
        ASSERT_TRUE(rhythm) << interval;
        EXPECT_NEAR(rhythm->ms, interval, 1e-3 * interval);
        EXPECT_LT(std::abs(rhythm->ms - interval), 4.0 * rhythm->standardMs + 1e-4);
    }
}

TEST(CommonRhythm, IsNotClaimedForUnrelatedInstants)
{
    std::mt19937 random(52);
    std::uniform_real_distribution<double> uniform(0.0, 5000.0);
    int claimed = 0;
    constexpr int clips = 60;
    for (int i = 0; i < clips; ++i) {
        std::vector<double> instants;
        for (int k = 0; k < 20; ++k) {
            instants.push_back(uniform(random));
        }
        claimed += commonRhythm(instants, {}).has_value() ? 1 : 0;
    }
    EXPECT_EQ(claimed, 0);
}

// Starts that are a little off: by chance they may keep to a longer interval almost as well.
TEST(CommonRhythm, IsTheMostCoherentOne)
{
    int right = 0;
    constexpr int clips = 60;
    for (unsigned seed = 1; seed <= clips; ++seed) {
        const auto rhythm = commonRhythm(onLattice(20.0, 0.8, 20, seed), {});
        right += rhythm && std::abs(rhythm->ms - 20.0) < 0.05 ? 1 : 0;
    }
    EXPECT_GE(right, clips - 1);
}

// A lamp driven four times a second: the answers of a link of 60 pictures keep to both rhythms.
TEST(CommonRhythm, IsNotThatOfThePressesThemselves)
{
    std::vector<double> presses;
    std::vector<double> answers;
    for (int i = 0; i < 24; ++i) {
        presses.push_back(40.0 + 250.0 * i + 0.05 * i);
        answers.push_back(presses.back() + 21.0);
    }
    EXPECT_TRUE(commonRhythm(answers, {}));
    EXPECT_FALSE(commonRhythm(answers, {}, presses));
}

// A steady hand is never as steady as that.
TEST(CommonRhythm, StandsOutFromPressesMadeAboutEveryQuarterSecond)
{
    std::mt19937 random(54);
    std::uniform_real_distribution<double> uniform(-60.0, 60.0);
    std::vector<double> presses;
    std::vector<double> answers;
    for (int i = 0; i < 30; ++i) {
        presses.push_back(40.0 + 257.3 * i + uniform(random));
        answers.push_back(10.0 * std::ceil((presses.back() + 17.0) / 10.0));
    }
    const auto rhythm = commonRhythm(answers, {}, presses);
    ASSERT_TRUE(rhythm);
    EXPECT_NEAR(rhythm->ms, 10.0, 0.01);
}

TEST(CommonRhythm, NeedsEightInstants)
{
    EXPECT_FALSE(commonRhythm(onLattice(10.0, 0.0, 7, 53), {}));
}

} // namespace

} // namespace twinlamp::measure
