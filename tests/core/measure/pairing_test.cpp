// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/pairing.h"

#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::measure {

namespace {

std::vector<TimedEdge> alternating(const std::vector<double>& timesMs)
{
    std::vector<TimedEdge> edges;
    for (const double time : timesMs) {
        edges.push_back({edges.size() % 2 == 0 ? Edge::On : Edge::Off, time});
    }
    return edges;
}

TEST(PairEdges, PairsEachPressWithItsAnswer)
{
    const auto partners
        = pairEdges(alternating({0, 200, 500, 700}), alternating({31, 229, 535, 733}), {});
    for (std::size_t i = 0; i < 4; ++i) {
        EXPECT_EQ(partners[i].answer, i);
        EXPECT_GT(partners[i].probability, 0.95);
    }
}

TEST(PairEdges, KeepsOrderWherePressesAreShorterThanTheLatency)
{
    // Pairs of presses 15 ms long, 30 ms before their answers: a nearest neighbour would swap them.
    const auto partners = pairEdges(
        alternating({0, 15, 300, 315, 600, 615}), alternating({30, 46, 331, 345, 629, 646}), {});
    for (std::size_t i = 0; i < 6; ++i) {
        EXPECT_EQ(partners[i].answer, i);
    }
}

TEST(PairEdges, LeavesALostAnswerWithoutPartner)
{
    // The second press left no answer: neither of its edges may take the third press's.
    const auto partners = pairEdges(
        alternating({0, 120, 240, 360, 480, 600}), alternating({30, 150, 511, 629}), {});
    EXPECT_EQ(partners[0].answer, 0U);
    EXPECT_EQ(partners[1].answer, 1U);
    EXPECT_FALSE(partners[2].answer);
    EXPECT_FALSE(partners[3].answer);
    EXPECT_EQ(partners[4].answer, 2U);
    EXPECT_EQ(partners[5].answer, 3U);
}

TEST(PairEdges, ShiftingAllEdgesChangesNoPartner)
{
    std::mt19937_64 random(9);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (int trial = 0; trial < 20; ++trial) {
        std::vector<double> pressedMs;
        std::vector<double> answeredMs;
        double at = 0.0;
        for (int i = 0; i < 24; ++i) {
            at += 30.0 + 120.0 * unit(random);
            pressedMs.push_back(at);
            answeredMs.push_back(at + 25.0 + 8.0 * unit(random));
        }
        const auto before = pairEdges(alternating(pressedMs), alternating(answeredMs), {});
        const double shiftMs = 100'000.0 * unit(random);
        for (std::size_t i = 0; i < pressedMs.size(); ++i) {
            pressedMs[i] += shiftMs;
            answeredMs[i] += shiftMs;
        }
        const auto after = pairEdges(alternating(pressedMs), alternating(answeredMs), {});
        ASSERT_EQ(after.size(), before.size());
        for (std::size_t i = 0; i < before.size(); ++i) {
            EXPECT_EQ(after[i].answer, before[i].answer);
            EXPECT_NEAR(after[i].probability, before[i].probability, 1e-6);
        }
    }
}

TEST(PairEdges, TakesNoAnswerBeyondTheSearchSpan)
{
    PairingOptions options;
    options.searchMs = 50.0;
    const auto partners = pairEdges(alternating({0, 500}), alternating({80, 580}), options);
    EXPECT_FALSE(partners[0].answer);
    EXPECT_FALSE(partners[1].answer);
}

TEST(PairEdges, SaysWhenAnotherPairingIsAsLikely)
{
    // Presses 20 ms apart, one answer lost: which of the two it belongs to, 30 or 50 ms, nothing
    // else in the clip tells.
    std::vector<TimedEdge> lamp {{Edge::On, 0.0}, {Edge::On, 20.0}};
    std::vector<TimedEdge> goggle {{Edge::On, 50.0}};
    const auto partners = pairEdges(lamp, goggle, {});
    EXPECT_LT(partners[0].probability, 0.9);
    EXPECT_LT(partners[1].probability, 0.9);
}

} // namespace

} // namespace twinlamp::measure
