// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/accuracy/edge_bound.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <numbers>
#include <vector>

namespace twinlamp::accuracy {

namespace {

/// Frames of a step inside an exposure: dark ones, the partly lit one, lit ones.
std::vector<FrameSlope> stepFrames(
    int dark, int lit, double fraction, double exposureMs, double noise)
{
    std::vector<FrameSlope> frames;
    for (int i = 0; i < dark; ++i) {
        frames.push_back({0.0, 0.0, noise * noise});
    }
    frames.push_back({-1.0 / exposureMs, fraction, noise * noise});
    for (int i = 0; i < lit; ++i) {
        frames.push_back({0.0, 1.0, noise * noise});
    }
    return frames;
}

struct StepCase
{
    double exposureMs;
    int dark;
    int lit;
    double fraction;
    double standardMs;
};

class StepBound : public ::testing::TestWithParam<StepCase>
{
};

} // namespace

// (E s / A) sqrt(1 + (1 - f)^2 / n0 + f^2 / n1), s / A = 0.02, computed in closed form and
// confirmed by 400000 draws of a Monte Carlo outside of this project to 1e-3.
TEST_P(StepBound, MatchesTheClosedFormWithUnknownLevels)
{
    const StepCase c = GetParam();
    const auto variance
        = edgeTimeVariance(stepFrames(c.dark, c.lit, c.fraction, c.exposureMs, 0.02));
    ASSERT_TRUE(variance);
    EXPECT_NEAR(std::sqrt(*variance), c.standardMs, 1e-6);
}

INSTANTIATE_TEST_SUITE_P(Levels, StepBound,
    ::testing::Values(StepCase {25.0 / 6.0, 10, 10, 0.5, 0.085391},
        StepCase {25.0 / 6.0, 3, 3, 0.5, 0.090010}, StepCase {25.0 / 6.0, 3, 3, 0.9, 0.094035},
        StepCase {25.0 / 6.0, 1, 1, 0.5, 0.102062}));

TEST(EdgeTimeVariance, AStepBetweenTwoExposuresTellsNothing)
{
    std::vector<FrameSlope> frames = stepFrames(5, 5, 0.5, 1.0, 0.02);
    frames.erase(frames.begin() + 5);
    EXPECT_FALSE(edgeTimeVariance(frames));
}

// Ramp of 10 ms through exposures without a gap, levels known (many frames on both sides), s / A =
// 0.01: (s / A) T / sqrt((T - E / 3) / P) on the average over the phase. E = P = 25/6: 0.069561;
// E = P = 1: 0.032163. The information is averaged, so are the inverse squares here.
TEST(EdgeTimeVariance, OfARampMatchesItsMeanOverThePhase)
{
    for (const auto& [exposureMs, expected] : {std::pair {25.0 / 6.0, 0.069561}, {1.0, 0.032163}}) {
        constexpr double rampMs = 10.0;
        constexpr int phases = 200;
        double information = 0.0;
        for (int p = 0; p < phases; ++p) {
            const double beganMs = (p + 0.5) / phases * exposureMs;
            std::vector<FrameSlope> frames;
            for (int k = -4000; k < 4000; ++k) {
                const double start = k * exposureMs - beganMs;
                const double end = start + exposureMs;
                const double inside = std::max(
                    0.0, std::min(end, rampMs) - std::max(start, 0.0)); // overlap with the ramp
                const auto lit = [&](double t) { // integral of the ramp
                    return t <= 0.0 ? 0.0 : t < rampMs ? 0.5 * t * t / rampMs : t - 0.5 * rampMs;
                };
                frames.push_back(
                    {-inside / (rampMs * exposureMs), (lit(end) - lit(start)) / exposureMs, 1e-4});
            }
            information += 1.0 / edgeTimeVariance(frames).value() / phases;
        }
        EXPECT_NEAR(1.0 / std::sqrt(information), expected, 2e-4) << exposureMs;
    }
}

// A panel that changes all at once and without inertia shows a step: then the bound of a press is
// that of two steps, each in closed form with its levels known but for the share of the frames that
// were there to see them.
TEST(EdgeBounds, OfAPlainSceneIsThatOfTwoSteps)
{
    film::Scene scene;
    scene.widthPx = 320;
    scene.heightPx = 180;
    scene.lamps.programme = {film::ProgrammeKind::List, false, {150.3, 400.6}, 1, 0.0, {}, {}, 0.0};
    scene.room.brightness = 0.0;
    scene.referenceLamp.x = 50.0;
    scene.referenceLamp.y = 90.0;
    scene.referenceLamp.radiusPx = 40.0;
    scene.referenceLamp.brightness = 0.8;
    scene.referenceRegion = RectPx {40, 80, 20, 20};
    scene.linkCamera.frameRate = {100, 1};
    scene.linkCamera.exposureMs = 0.001;
    scene.linkCamera.readoutMs = 0.0;
    scene.linkCamera.phase.ms = 3.0;
    scene.link.delayMs = 7.4;
    scene.panel.rect = {120, 20, 180, 140};
    scene.panel.direction = film::Direction::AllAtOnce;
    scene.panel.riseMs = 0.0;
    scene.panel.fallMs = 0.0;
    scene.panel.brightness = 0.0;
    scene.panel.lampImage.brightness = 0.0;
    scene.panel.spill = 0.4;
    scene.goggleRegion = RectPx {150, 40, 10, 10};
    scene.camera.captureRate = {1000, 1};
    scene.camera.exposureMs = 0.9;
    scene.camera.shotNoise = 0.0;
    scene.camera.readNoise = 0.05;
    const EdgeBounds bounds = edgeBounds(scene);
    ASSERT_EQ(bounds.size(), 2U);
    // s / A: 0.05 / sqrt(400) / 0.8 and 0.05 / sqrt(100) / 0.4; levels from 80 frames and more.
    const double expected = 0.9 * std::hypot(0.05 / 20.0 / 0.8, 0.05 / 10.0 / 0.4);
    for (const auto& bound : bounds) {
        ASSERT_TRUE(bound);
        EXPECT_GT(*bound, expected);
        EXPECT_LT(*bound, 1.02 * expected);
    }
}

} // namespace twinlamp::accuracy
