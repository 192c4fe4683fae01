// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/noise.h"

#include <cmath>
#include <gtest/gtest.h>
#include <limits>
#include <random>
#include <vector>

namespace twinlamp::trace {

namespace {

TEST(FrameNoise, ReadsWhiteNoiseThroughStepsAndDrift)
{
    std::mt19937 random(7);
    std::normal_distribution<float> normal(0.0F, 0.01F);
    std::vector<float> light;
    for (int k = 0; k < 20000; ++k) {
        const float step = (k / 500) % 2 == 0 ? 0.0F : 0.5F;
        light.push_back(step + 1e-5F * static_cast<float>(k) + normal(random));
    }
    // The median of 20000 absolute differences scatters by about 1 %.
    EXPECT_NEAR(frameNoise(light), 0.01, 0.0004);
}

TEST(FrameNoise, IsZeroForFewerThanThreeValues)
{
    EXPECT_EQ(frameNoise(std::vector<float> {0.1F, 0.9F}), 0.0);
}

TEST(MedianOf, LeavesMissingValuesOut)
{
    const double missing = std::numeric_limits<double>::quiet_NaN();
    EXPECT_EQ(medianOf(std::vector<double> {3.0, missing, 1.0, 2.0}), 2.0);
    EXPECT_EQ(medianOf(std::vector<double> {1.0, 4.0}), 2.5);
    EXPECT_EQ(medianOf(std::vector<double> {missing}), 0.0);
}

} // namespace

} // namespace twinlamp::trace
