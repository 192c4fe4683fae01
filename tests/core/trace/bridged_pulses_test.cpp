// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/bridged_pulses.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::trace {
namespace {

/// A lamp that is lit from 200 to 500 and from 800 to 1100 ms, by pulses that begin with the
/// switching; seen in frames of 1 ms.
struct PulsedFootage
{
    double periodMs = 5.3;
    double duty = 0.4;
    double exposureMs = 0.8;
    std::vector<double> timeMs;
    std::vector<float> light;

    void film()
    {
        std::mt19937 random(7);
        std::normal_distribution<double> noise(0.0, 0.003);
        for (int k = 0; k < 1300; ++k) {
            timeMs.push_back(k);
            double sum = 0.0;
            constexpr int parts = 64;
            for (int i = 0; i < parts; ++i) {
                sum += lightAt(k + exposureMs * (i + 0.5) / parts);
            }
            light.push_back(static_cast<float>(sum / parts + noise(random)));
        }
    }

    [[nodiscard]] double lightAt(double ms) const
    {
        const double since = ms >= 800.0 ? ms - 800.0 : ms - 200.0;
        const bool isLit = since >= 0.0 && since < 300.0;
        const double turns = since / periodMs;
        return 0.02 + (isLit && (periodMs == 0.0 || turns - std::floor(turns) < duty) ? 0.6 : 0.0);
    }
};

TEST(BridgedPulses, HoldTheLightFromTheFirstPulseToTheLast)
{
    PulsedFootage footage;
    footage.film();
    const auto bridged = bridgePulses(footage.light, footage.timeMs, 1.0);
    ASSERT_TRUE(bridged);
    for (std::size_t k = 202; k < 494; ++k) {
        EXPECT_GT(bridged->light[k], 0.5F) << k;
        EXPECT_LT(bridged->light[k], 0.65F) << k;
    }
    for (std::size_t k = 502; k < 799; ++k) {
        EXPECT_LT(bridged->light[k], 0.05F) << k;
    }
    EXPECT_GT(bridged->depth, 0.9);
    // 60 % of 5.3 ms are dark; frames that a pulse lights by half or more are not counted.
    EXPECT_NEAR(bridged->darkMs, 0.6 * 5.3, 1.0);
}

TEST(BridgedPulses, FasterThanTwoFramesAreBridgedAtTheirAlias)
{
    PulsedFootage footage;
    footage.periodMs = 1.97;
    footage.duty = 0.57;
    footage.film();
    const auto bridged = bridgePulses(footage.light, footage.timeMs, 1.0);
    ASSERT_TRUE(bridged);
    for (std::size_t k = 203; k < 496; ++k) {
        EXPECT_GT(bridged->light[k], 0.3F) << k;
    }
}

// Pulses of two to three frames: some lie in one frame, some are halved between two.
TEST(BridgedPulses, PulsesThatTwoFramesShareAreBridgedByTheirNeighbours)
{
    PulsedFootage footage;
    footage.periodMs = 2.27;
    footage.duty = 0.26;
    footage.exposureMs = 0.95;
    footage.film();
    const auto bridged = bridgePulses(footage.light, footage.timeMs, 1.0);
    ASSERT_TRUE(bridged);
    const float brightest = *std::ranges::max_element(bridged->light);
    for (std::size_t k = 206; k < 492; ++k) {
        EXPECT_GT(bridged->light[k], 0.6F * brightest) << k;
    }
}

TEST(BridgedPulses, AreNothingOfASteadyLamp)
{
    PulsedFootage footage;
    footage.periodMs = 0.0;
    footage.film();
    EXPECT_FALSE(bridgePulses(footage.light, footage.timeMs, 1.0));
}

TEST(BridgedPulses, LeaveMissingFramesMissing)
{
    PulsedFootage footage;
    footage.film();
    footage.light[300] = std::nanf("");
    const auto bridged = bridgePulses(footage.light, footage.timeMs, 1.0);
    ASSERT_TRUE(bridged);
    EXPECT_TRUE(std::isnan(bridged->light[300]));
    EXPECT_GT(bridged->light[301], 0.5F);
}

} // namespace
} // namespace twinlamp::trace
