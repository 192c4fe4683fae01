// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/reference_onset.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::onset {

namespace {

/// A lamp that switches on at onsetMs, seen by a camera with the given exposure.
struct Scene
{
    double intervalMs = 25.0 / 6.0;
    double exposureMs = 25.0 / 6.0;
    double onsetMs = 0.0;
    double noise = 0.0;
    bool goesOff = false;
};

struct Filmed
{
    std::vector<float> light;
    std::vector<double> startMs;
    TimedTrace trace;
    CoarseEdge edge;
};

Filmed film(const Scene& scene, std::mt19937& random)
{
    Filmed filmed;
    std::normal_distribution<double> normal(0.0, 1.0);
    constexpr int frames = 60;
    for (int k = 0; k < frames; ++k) {
        const double start = k * scene.intervalMs;
        const double lit
            = std::clamp((start + scene.exposureMs - scene.onsetMs) / scene.exposureMs, 0.0, 1.0);
        filmed.startMs.push_back(start);
        filmed.light.push_back(static_cast<float>(
            0.1 + 0.5 * (scene.goesOff ? 1.0 - lit : lit) + 0.5 * scene.noise * normal(random)));
    }
    filmed.trace
        = {filmed.light, filmed.startMs, {scene.intervalMs, scene.exposureMs, 0.0, 720}, {}};
    const EdgeSearch search = findEdges(filmed.light, 3);
    filmed.edge = search.edges.at(0);
    return filmed;
}

TEST(ReferenceOnset, ReadsThePartlyLitFrameForOnAndOffAlike)
{
    std::mt19937 random(1);
    for (const bool off : {false, true}) {
        for (int i = 0; i < 12; ++i) {
            const double onset = 100.3 + 0.37 * i;
            const Filmed filmed = film({.onsetMs = onset, .noise = 0.002, .goesOff = off}, random);
            const auto found = referenceOnset(filmed.trace, filmed.edge, {0, 60}, false);
            ASSERT_TRUE(found);
            // A frame's share is known to 0.5 % here (noise and the allowance for codecs): 0.02 ms;
            // three of these.
            EXPECT_NEAR(found->timeMs, onset, 0.08) << "off " << off;
        }
    }
}

TEST(ReferenceOnset, ScattersNoMoreThanTheCramerRaoBoundAllows)
{
    // Bound for a step inside an exposure with levels known: E s / A = 25/6 ms * 0.02 = 0.083 ms
    // (Monte Carlo over 400000 presses gave 0.0833). Levels from 24 frames each add 2 %, presses
    // near an exposure's end a little more.
    std::mt19937 random(2);
    std::uniform_real_distribution<double> uniform(100.0, 104.1667);
    double squares = 0.0;
    double stated = 0.0;
    constexpr int presses = 600;
    for (int i = 0; i < presses; ++i) {
        const double onset = uniform(random);
        const Filmed filmed = film({.onsetMs = onset, .noise = 0.02}, random);
        const auto found = referenceOnset(filmed.trace, filmed.edge, {0, 60}, false);
        ASSERT_TRUE(found);
        squares += std::pow(found->timeMs - onset, 2);
        stated += found->standardMs * found->standardMs;
    }
    const double rmse = std::sqrt(squares / presses);
    EXPECT_LT(rmse, 1.2 * 0.0833);
    EXPECT_GT(rmse, 0.8 * 0.0833) << "beating the bound means that truth leaks";
    // The stated uncertainty is the real one within a quarter.
    EXPECT_NEAR(std::sqrt(stated / presses) / rmse, 1.0, 0.25);
}

TEST(ReferenceOnset, HidesInTheGapBetweenExposures)
{
    std::mt19937 random(3);
    // Exposures last 1 of 4.167 ms; the lamp switches in the dark between two of them.
    const Filmed filmed = film({.exposureMs = 1.0, .onsetMs = 103.0, .noise = 0.002}, random);
    const auto found = referenceOnset(filmed.trace, filmed.edge, {0, 60}, false);
    ASSERT_TRUE(found);
    EXPECT_TRUE(found->inGap);
    const double gap = 25.0 / 6.0 - 1.0;
    EXPECT_NEAR(found->standardMs, gap / std::sqrt(12.0), 0.03);
    EXPECT_NEAR(found->timeMs, 101.0 + 0.5 * gap, 0.05);
}

TEST(ReferenceOnset, AClippedLampOnlyBoundsTheInstant)
{
    std::mt19937 random(4);
    Filmed filmed = film({.onsetMs = 101.0, .noise = 0.001}, random);
    const auto found = referenceOnset(filmed.trace, filmed.edge, {0, 60}, true);
    ASSERT_TRUE(found);
    EXPECT_GT(found->standardMs, 0.5);
    EXPECT_LT(std::abs(found->timeMs - 101.0), 3.0 * found->standardMs);
}

} // namespace

} // namespace twinlamp::onset
