// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/rig/line_time.h"

#include <array>
#include <gtest/gtest.h>
#include <random>

namespace twinlamp::rig {
namespace {

LampLines lines(const std::array<double, 4>& times, double standardMs)
{
    LampLines made;
    for (std::size_t i = 0; i < times.size(); ++i) {
        made.push_back({10.0 + 3.0 * static_cast<double>(i), {times[i], standardMs, 0.0, false}});
    }
    return made;
}

TEST(FitLineTime, WorkedExample)
{
    // Weighted slopes, their weighted mean and Student's factor, computed with SciPy 1.10
    // (t.ppf(0.975, 3) and NumPy sums).
    const std::array switchings {lines({5.000, 4.981, 4.960, 4.939}, 0.002),
        lines({9.5, 9.478, 9.46, 9.441}, 0.002), lines({20.0, 19.979, 19.962, 19.94}, 0.004),
        lines({31.0, 30.98, 30.962, 30.938}, 0.002)};
    const auto fit = fitLineTime(switchings);
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->lineTimeUs, 6.6897435897435855, 1e-9);
    EXPECT_NEAR(fit->halfWidthUs, 0.25804561168949408, 1e-9);
    EXPECT_EQ(fit->degreesOfFreedom, 3.0);
}

TEST(FitLineTime, OffsetBetweenLampsDoesNotEnter)
{
    std::vector<LampLines> switchings;
    for (int i = 0; i < 6; ++i) {
        const double lamp = i % 2 == 0 ? 0.0 : 7.5;
        const double noise = 0.0005 * (i % 3);
        switchings.push_back(lines({lamp + 0.03, lamp + 0.02 + noise, lamp + 0.01, lamp}, 0.002));
    }
    const auto fit = fitLineTime(switchings);
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->lineTimeUs, 10.0 / 3.0, 0.05);
}

TEST(FitLineTime, BoundedLinesAndFewSwitchingsTellNothing)
{
    LampLines hidden = lines({1.0, 1.0, 1.0, 1.0}, 0.1);
    hidden[0].onset.isBounded = true;
    hidden[1].onset.isBounded = true;
    const std::vector<LampLines> all(8, hidden);
    EXPECT_FALSE(fitLineTime(all));
    const std::vector<LampLines> three(3, lines({5.0, 4.98, 4.96, 4.94}, 0.002));
    EXPECT_FALSE(fitLineTime(three));
}

TEST(FitLineTime, IntervalHoldsTheTruth)
{
    std::mt19937_64 random(7);
    std::normal_distribution<double> noise(0.0, 0.004);
    constexpr int trials = 2000;
    int inside = 0;
    for (int trial = 0; trial < trials; ++trial) {
        std::vector<LampLines> switchings;
        for (int edge = 0; edge < 8; ++edge) {
            LampLines one;
            for (int row = 0; row < 12; ++row) {
                one.push_back({2.0 * row, {-5e-3 * 2.0 * row + noise(random), 0.004, 0.0, false}});
            }
            switchings.push_back(one);
        }
        const auto fit = fitLineTime(switchings);
        ASSERT_TRUE(fit);
        inside += std::abs(fit->lineTimeUs - 5.0) <= fit->halfWidthUs ? 1 : 0;
    }
    // Binomial: 95 % +- 4 standard deviations of a share over 2000 trials.
    EXPECT_NEAR(inside / static_cast<double>(trials), 0.95, 0.02);
}

} // namespace
} // namespace twinlamp::rig
