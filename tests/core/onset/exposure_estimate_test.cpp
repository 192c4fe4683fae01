// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/exposure_estimate.h"

#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::onset {

namespace {

std::vector<PartlyLit> presses(double exposureShare, int count, std::mt19937& random)
{
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    std::vector<PartlyLit> frames;
    for (int i = 0; i < count; ++i) {
        // Position of the switching in the frame interval; a partly lit frame where it falls into
        // the exposure.
        const double at = uniform(random) / exposureShare;
        const double share = at < 1.0 ? at : 1.0;
        frames.push_back({share, share > 0.03 && share < 0.97, 200.0});
    }
    return frames;
}

TEST(ExposureEstimate, ShareOfPartlyLitFramesIsTheExposure)
{
    // P = 25/6 ms, E = 1 ms: of n = 60 presses 0.24 are partly lit, sd(E) = P sqrt(q (1 - q) / n) =
    // 0.2297 ms.
    constexpr double interval = 25.0 / 6.0;
    std::mt19937 random(5);
    double sum = 0.0;
    double squares = 0.0;
    constexpr int clips = 400;
    for (int i = 0; i < clips; ++i) {
        const ExposureEstimate estimate = estimateExposure(presses(0.24, 60, random), interval);
        sum += estimate.exposureMs;
        squares += estimate.exposureMs * estimate.exposureMs;
        EXPECT_EQ(estimate.edges, 60U);
    }
    const double mean = sum / clips;
    // The flat prior pulls by (1 - 2 q) / (n + 2) = 0.8 % of P.
    EXPECT_NEAR(mean, 1.0, 0.08);
    EXPECT_NEAR(std::sqrt(squares / clips - mean * mean), 0.2297, 0.03);
}

TEST(ExposureEstimate, AllPartlyLitDoesNotClaimAnExposureWithoutGap)
{
    const std::vector<PartlyLit> all(10, {0.5, true, 200.0});
    const ExposureEstimate estimate = estimateExposure(all, 1.0);
    EXPECT_LT(estimate.exposureMs, 1.0);
    EXPECT_GT(estimate.exposureMs, 0.9);
    EXPECT_GT(estimate.standardMs, 0.05);
}

TEST(ExposureEstimate, NoisyEdgesTellNothing)
{
    const std::vector<PartlyLit> noisy(30, {0.5, true, 5.0});
    EXPECT_EQ(estimateExposure(noisy, 1.0).edges, 0U);
}

} // namespace

} // namespace twinlamp::onset
