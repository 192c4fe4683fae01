// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/rig/expanded_uncertainty.h"

#include <array>
#include <gtest/gtest.h>

namespace twinlamp::rig {
namespace {

// JCGM 100:2008, example H.1 (end gauge, nm): its parts, unrounded.
constexpr std::array<StandardPart, 4> gaugeDifference {{
    {5.81377674150, 24.0},
    {3.89016986643, 5.0},
    {6.66666666667, 8.0},
    {0.0, std::nullopt},
}};

TEST(ExpandedUncertainty, DifferenceOfTheEndGaugesIsThatOfTheGuide)
{
    const auto u = expandedUncertainty(gaugeDifference);
    EXPECT_NEAR(u.standard, 9.66322234217, 1e-9) << "printed 9.7";
    ASSERT_TRUE(u.degreesOfFreedom);
    EXPECT_NEAR(*u.degreesOfFreedom, 25.62130600, 1e-6) << "printed 25.6";
}

TEST(ExpandedUncertainty, LengthOfTheEndGaugeIsThatOfTheGuide)
{
    constexpr std::array<StandardPart, 4> parts {{
        {25.0, 18.0},
        {9.66322234217, 25.62130600},
        {2.88678731487, 50.0},
        {16.5990270605, 2.0},
    }};
    const auto u = expandedUncertainty(parts, 0.99);
    EXPECT_NEAR(u.standard, 31.6581601864, 1e-6) << "printed 32";
    ASSERT_TRUE(u.degreesOfFreedom);
    EXPECT_NEAR(*u.degreesOfFreedom, 16.7411488966, 1e-6) << "printed 16.7";
    // The guide cuts the degrees to 16 and prints 93 = 2.92 x the rounded 32.
    EXPECT_NEAR(u.halfWidth, 92.4665724700, 1.0);
}

TEST(ExpandedUncertainty, ProductOfThreeInputsIsThatOfTheGuide)
{
    // JCGM 100:2008, example in G.4.1: relative parts in per cent.
    constexpr std::array<StandardPart, 3> parts {{{0.25, 9.0}, {0.57, 4.0}, {0.82, 14.0}}};
    const auto u = expandedUncertainty(parts);
    EXPECT_NEAR(u.standard, 1.02946588093, 1e-10);
    ASSERT_TRUE(u.degreesOfFreedom);
    EXPECT_NEAR(*u.degreesOfFreedom, 18.9987423143, 1e-8);
    EXPECT_NEAR(u.halfWidth / u.standard, 2.09302405441, 2e-5) << "t of 19 degrees";
}

TEST(ExpandedUncertainty, WithoutEstimatedPartsTheNormalFactorHolds)
{
    constexpr std::array<StandardPart, 2> parts {{{3.0, std::nullopt}, {4.0, std::nullopt}}};
    const auto u = expandedUncertainty(parts);
    EXPECT_DOUBLE_EQ(u.standard, 5.0);
    EXPECT_FALSE(u.degreesOfFreedom);
    EXPECT_NEAR(u.halfWidth, 5.0 * 1.959963984540054, 1e-12);
}

TEST(ExpandedUncertainty, EqualPartsAddTheirDegrees)
{
    constexpr std::array<StandardPart, 4> parts {{{2.0, 5.0}, {2.0, 5.0}, {2.0, 5.0}, {2.0, 5.0}}};
    EXPECT_NEAR(*expandedUncertainty(parts).degreesOfFreedom, 20.0, 1e-12);
}

} // namespace
} // namespace twinlamp::rig
