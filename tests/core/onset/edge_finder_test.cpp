// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/edge_finder.h"

#include <gtest/gtest.h>
#include <limits>
#include <random>
#include <vector>

namespace twinlamp::onset {

namespace {

/// Two-level light with switchings at the given frames, noise and drift.
std::vector<float> lamp(const std::vector<std::size_t>& switchings, std::size_t frames,
    bool litAtStart, double noise, double drift)
{
    std::mt19937 random(11);
    std::normal_distribution<double> normal(0.0, noise);
    std::vector<float> light;
    bool lit = litAtStart;
    std::size_t next = 0;
    for (std::size_t k = 0; k < frames; ++k) {
        if (next < switchings.size() && switchings[next] == k) {
            lit = !lit;
            ++next;
        }
        light.push_back(static_cast<float>(
            (lit ? 0.3 : 0.05) + drift * static_cast<double>(k) + normal(random)));
    }
    return light;
}

std::vector<std::size_t> framesOf(const EdgeSearch& search)
{
    std::vector<std::size_t> frames;
    for (const CoarseEdge& edge : search.edges) {
        frames.push_back(edge.frame);
    }
    return frames;
}

TEST(FindEdges, FindsEverySwitchingToTheFrame)
{
    const std::vector<std::size_t> switchings {40, 90, 300, 303, 500};
    const EdgeSearch search = findEdges(lamp(switchings, 700, false, 0.004, 0.0), 3);
    EXPECT_EQ(framesOf(search), switchings);
    EXPECT_EQ(search.edges.front().edge, Edge::On);
    EXPECT_NEAR(search.stepHeight, 0.25, 0.02);
}

TEST(FindEdges, TakesALampThatIsLitAtTheStart)
{
    const EdgeSearch search = findEdges(lamp({100, 200}, 400, true, 0.004, 0.0), 3);
    ASSERT_EQ(search.edges.size(), 2U);
    EXPECT_EQ(search.edges.front().edge, Edge::Off);
}

TEST(FindEdges, FollowsDriftLargerThanTheStep)
{
    const std::vector<std::size_t> switchings {500, 900, 1500, 1900};
    EXPECT_EQ(framesOf(findEdges(lamp(switchings, 3000, false, 0.004, 2e-4), 3)), switchings);
}

TEST(FindEdges, InventsNothingInNoise)
{
    const EdgeSearch search = findEdges(lamp({}, 20000, false, 0.01, 0.0), 3);
    EXPECT_TRUE(search.edges.empty());
    EXPECT_EQ(search.stepHeight, 0.0);
}

TEST(FindEdges, BridgesMissingFrames)
{
    std::vector<float> light = lamp({40, 90}, 200, false, 0.002, 0.0);
    for (std::size_t k = 60; k < 64; ++k) {
        light[k] = std::numeric_limits<float>::quiet_NaN();
    }
    EXPECT_EQ(framesOf(findEdges(light, 3)), (std::vector<std::size_t> {40, 90}));
}

TEST(FindEdges, AFirstPictureLitByHalfIsNotTakenForALevel)
{
    // Twelve frames at half of the step, as a link camera leaves them that was caught in the middle
    // of its exposure: the edge is where the other half follows.
    std::vector<float> light(200, 0.1F);
    std::fill(light.begin() + 80, light.begin() + 92, 0.2999F);
    std::fill(light.begin() + 92, light.begin() + 150, 0.5F);
    std::fill(light.begin() + 150, light.begin() + 162, 0.3001F);
    const EdgeSearch search = findEdges(light, 30);
    EXPECT_EQ(framesOf(search), (std::vector<std::size_t> {92, 162}));
}

// A hold of a few pictures whose first one is lit by half and a little more: the fall after it goes
// from the whole level, and presses after it must not be lost.
TEST(FindEdges, AShortHoldThatBeginsWithAHalfLitPictureIsLeftFromItsWholeLevel)
{
    std::vector<float> light(400, 0.05F);
    const auto hold = [&](std::size_t first, std::size_t frames, float share) {
        for (std::size_t k = first; k < first + frames; ++k) {
            light[k] = 0.05F + 0.3F * (k < first + 5 ? share : 1.0F);
        }
    };
    hold(60, 40, 1.0F);
    hold(140, 40, 1.0F);
    hold(220, 20, 0.52F);
    hold(262, 20, 0.52F);
    hold(330, 30, 1.0F);
    const EdgeSearch search = findEdges(light, 15);
    EXPECT_EQ(framesOf(search),
        (std::vector<std::size_t> {60, 100, 140, 180, 220, 240, 262, 282, 330, 360}));
}

} // namespace

} // namespace twinlamp::onset
