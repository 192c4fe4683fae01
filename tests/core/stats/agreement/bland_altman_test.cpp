// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/agreement/bland_altman.h"
#include "core/stats/random_index.h"

#include <array>
#include <cmath>
#include <gtest/gtest.h>
#include <numbers>
#include <vector>

namespace twinlamp::stats {
namespace {

/// Peak flow of 17 subjects, first readings, l/min: Bland & Altman (1986), through several public
/// copies.
const std::array<double, 17> wright {
    494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427};
const std::array<double, 17> mini {
    512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451};

std::vector<ReadoutPair> peakFlow()
{
    std::vector<ReadoutPair> pairs;
    for (std::size_t i = 0; i < wright.size(); ++i) {
        pairs.push_back({wright[i], mini[i]});
    }
    return pairs;
}

TEST(Agreement, PeakFlow)
{
    // R and SciPy; the paper prints -2.1, 38.8, -22.0 to 17.8.
    const auto found = agreement(peakFlow());
    ASSERT_TRUE(found);
    EXPECT_NEAR(found->bias.value, -2.11764705882, 5e-12);
    EXPECT_NEAR(found->sd, 38.7651298736, 5e-11);
    EXPECT_NEAR(found->bias.interval.low.value(), -22.0488376966, 5e-9);
    EXPECT_NEAR(found->bias.interval.high.value(), 17.813543579, 5e-9);
    // t(16) = 2.11990529922; standard error of the bias 9.40192500351.
    EXPECT_NEAR(
        (*found->bias.interval.high - found->bias.value) / 2.11990529922, 9.40192500351, 5e-11);
    EXPECT_NEAR(found->lowerLimit.value, -78.0959054671, 5e-10);
    EXPECT_NEAR(found->upperLimit.value, 73.8606113495, 5e-10);
}

TEST(Agreement, OtherMultipliersInUse)
{
    AgreementOptions options;
    options.multiplier = 1.96;
    const auto usual = agreement(peakFlow(), options);
    EXPECT_NEAR(usual->lowerLimit.value, -78.0973016111, 5e-11);
    EXPECT_NEAR(usual->upperLimit.value, 73.8620074934, 5e-11);
    // Standard error of a limit, form of 1999: 16.3951079847; t(16) = 2.11990529922.
    EXPECT_NEAR((*usual->upperLimit.interval.high - usual->upperLimit.value) / 2.11990529922,
        16.3951079847, 5e-9);
    options.multiplier = 2.0;
    const auto paper = agreement(peakFlow(), options);
    EXPECT_NEAR(paper->lowerLimit.value, -79.647906806, 5e-9);
    EXPECT_NEAR(paper->upperLimit.value, 75.4126126884, 5e-10);
    // The paper's intervals of the limits use sqrt(3 / n): -114.3, -45.1 and 40.9, 110.1; the form
    // of 1999 with 2 is within 1 l/min of them.
    EXPECT_NEAR(*paper->lowerLimit.interval.low, -114.3, 1.0);
    EXPECT_NEAR(*paper->lowerLimit.interval.high, -45.1, 1.0);
    EXPECT_NEAR(*paper->upperLimit.interval.low, 40.9, 1.0);
    EXPECT_NEAR(*paper->upperLimit.interval.high, 110.1, 1.0);
    EXPECT_NEAR(std::sqrt(3.0 / 17.0) * paper->sd, 16.284611795, 5e-9);
}

TEST(Agreement, ReadoutThatGrowsShowsItsSlope)
{
    // readout = 1.2 measured - 3: difference 0.2 m - 3 over the mean 1.1 m - 1.5: slope 2/11.
    std::vector<ReadoutPair> pairs;
    for (int i = 20; i < 40; ++i) {
        pairs.push_back({1.2 * i - 3.0, static_cast<double>(i)});
    }
    const auto found = agreement(pairs);
    ASSERT_TRUE(found && found->proportionalBias);
    EXPECT_NEAR(found->proportionalBias->value, 2.0 / 11.0, 1e-12);
    EXPECT_LT(*found->proportionalPValue, 1e-12);
}

TEST(Agreement, ConstantBiasHasNoSlope)
{
    std::vector<ReadoutPair> pairs;
    for (int i = 20; i < 40; ++i) {
        pairs.push_back({i + 4.0, static_cast<double>(i)});
    }
    const auto found = agreement(pairs);
    EXPECT_EQ(found->bias, (Estimate {4.0, {4.0, 4.0}}));
    EXPECT_EQ(found->proportionalPValue, 1.0);
    EXPECT_EQ(found->lowerLimit.value, 4.0);
}

TEST(Agreement, FewPairsSayLittle)
{
    EXPECT_FALSE(agreement({}).has_value());
    EXPECT_FALSE(agreement(std::vector<ReadoutPair> {{25, 20}}).has_value());
    const auto two = agreement(std::vector<ReadoutPair> {{25, 20}, {26, 22}});
    ASSERT_TRUE(two);
    EXPECT_EQ(two->proportionalBias, std::nullopt);
    const auto level = agreement(std::vector<ReadoutPair> {{20, 20}, {20, 20}, {20, 20}});
    EXPECT_EQ(level->proportionalBias, std::nullopt);
}

TEST(Agreement, OrderOfPairsDoesNotMatter)
{
    auto pairs = peakFlow();
    const auto before = agreement(pairs);
    std::swap(pairs[0], pairs[11]);
    const auto after = agreement(pairs);
    EXPECT_NEAR(after->lowerLimit.value, before->lowerLimit.value, 1e-11);
    EXPECT_NEAR(after->proportionalBias->value, before->proportionalBias->value, 1e-14);
}

TEST(Agreement, IntervalsHoldTheTruthAsOftenAsTheySay)
{
    // Seed 21: normal differences, bias 2, sd 3; 20 pairs. 95 % less three counting errors.
    RandomSource random(21);
    const auto normal = [&random] {
        return std::sqrt(-2.0 * std::log(1.0 - random.unit()))
            * std::cos(2.0 * std::numbers::pi * random.unit());
    };
    constexpr int trials = 2000;
    int biasHeld = 0;
    int limitHeld = 0;
    int slopes = 0;
    const double truth = 2.0 + 1.959963984540054 * 3.0;
    const auto holds = [](const Estimate& estimate, double value) {
        return *estimate.interval.low <= value && value <= *estimate.interval.high ? 1 : 0;
    };
    for (int trial = 0; trial < trials; ++trial) {
        std::vector<ReadoutPair> pairs;
        for (int i = 0; i < 20; ++i) {
            // Readout and measured scatter alike about the truth, so that the slope is 0.
            const double centre = 20.0 + 20.0 * random.unit();
            const double half = std::sqrt(0.5) * 3.0;
            pairs.push_back({centre + 2.0 + half * normal(), centre + half * normal()});
        }
        const auto found = agreement(pairs);
        biasHeld += holds(found->bias, 2.0);
        limitHeld += holds(found->upperLimit, truth);
        slopes += *found->proportionalPValue < 0.05 ? 1 : 0;
    }
    EXPECT_NEAR(static_cast<double>(biasHeld) / trials, 0.95, 0.015);
    EXPECT_NEAR(static_cast<double>(limitHeld) / trials, 0.95, 0.02);
    EXPECT_NEAR(static_cast<double>(slopes) / trials, 0.05, 0.015);
}

} // namespace
} // namespace twinlamp::stats
