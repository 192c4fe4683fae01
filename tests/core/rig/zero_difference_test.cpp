// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/rig/zero_difference.h"

#include <array>
#include <gtest/gtest.h>
#include <random>

namespace twinlamp::rig {
namespace {

ZeroEdge edge(Edge kind, double difference, double referenceMs, double goggleMs)
{
    static double at = 0.0;
    at += 100.0;
    return {kind, {at, referenceMs, 0.0, false}, {at + difference, goggleMs, 0.0, false}};
}

const std::vector<ZeroEdge> worked {edge(Edge::On, 0.51, .01, .02), edge(Edge::Off, 0.47, .02, .02),
    edge(Edge::On, 0.52, .01, .01), edge(Edge::Off, 0.49, .02, .01), edge(Edge::On, 0.50, .01, .01),
    edge(Edge::Off, 0.53, .02, .02)};

TEST(ZeroDifference, WorkedExample)
{
    // Weighted mean, its scatter and Student's factor computed with SciPy 1.10.
    const auto zero = zeroDifference(worked, {});
    ASSERT_TRUE(zero);
    EXPECT_NEAR(zero->differenceMs, 0.5060606060606061, 1e-10);
    EXPECT_NEAR(zero->halfWidthMs, 0.01799727610358238, 1e-9);
    EXPECT_NEAR(zero->scatterMs, 0.021808078468800923, 1e-9);
    EXPECT_EQ(zero->edges, 6);
    EXPECT_FALSE(zero->onlyBounded);
    EXPECT_FALSE(zero->offMinusOnMs);
}

TEST(ZeroDifference, RowCorrectionWidensByWelchSatterthwaite)
{
    const std::array rows {StandardPart {0.012, 7.0}};
    const auto zero = zeroDifference(worked, rows);
    ASSERT_TRUE(zero);
    EXPECT_NEAR(zero->halfWidthMs, 0.030640180848698254, 1e-9) << "SciPy 1.10, 10.82 degrees";
}

TEST(ZeroDifference, BoundedSwitchingsCountOnlyWhereNothingElseIsLeft)
{
    std::vector<ZeroEdge> edges = worked;
    edges.push_back(edge(Edge::On, 9.0, 0.5, 0.5));
    edges.back().goggle.isBounded = true;
    EXPECT_NEAR(zeroDifference(edges, {})->differenceMs, 0.50606, 1e-5);

    const std::vector<ZeroEdge> few {edges[0], edges[1], edges[6]};
    const auto zero = zeroDifference(few, {});
    ASSERT_TRUE(zero);
    EXPECT_TRUE(zero->onlyBounded);
    EXPECT_EQ(zero->edges, 3);
}

TEST(ZeroDifference, SwitchingsThatAllHideInTheGapStayOpenByIt)
{
    // A lamp in step with the frames: every onset at the middle of the gap, no scatter at all.
    std::vector<ZeroEdge> edges;
    for (int i = 0; i < 20; ++i) {
        edges.push_back(edge(i % 2 == 0 ? Edge::On : Edge::Off, 0.0, 0.1, 0.1));
        edges.back().reference.isBounded = true;
        edges.back().goggle.isBounded = true;
    }
    const auto zero = zeroDifference(edges, {});
    ASSERT_TRUE(zero);
    // Half width of each gap 0.1 sqrt(3), both together as one rectangle: 1.96 * 0.1 * sqrt(2).
    EXPECT_NEAR(zero->halfWidthMs, 1.959963984540054 * 0.1 * std::sqrt(2.0), 1e-9);
}

TEST(ZeroDifference, KindsThatDifferAreNotPooled)
{
    std::vector<ZeroEdge> edges;
    std::mt19937_64 random(3);
    std::normal_distribution<double> noise(0.0, 0.01);
    for (int i = 0; i < 20; ++i) {
        const Edge kind = i % 2 == 0 ? Edge::On : Edge::Off;
        edges.push_back(edge(kind, (kind == Edge::On ? 0.2 : 0.6) + noise(random), 0.01, 0.01));
    }
    const auto zero = zeroDifference(edges, {});
    ASSERT_TRUE(zero);
    ASSERT_TRUE(zero->offMinusOnMs);
    EXPECT_NEAR(*zero->offMinusOnMs, 0.4, 0.02);
    EXPECT_NEAR(zero->differenceMs, 0.2, 0.02);
    EXPECT_EQ(zero->edges, 10);
}

TEST(ZeroDifference, OneSwitchingIsTooFew)
{
    const auto zero = zeroDifference(std::span(worked).first(1), {});
    ASSERT_FALSE(zero);
    EXPECT_EQ(zero.error().why, Cause::TooFew);
}

TEST(ZeroDifference, IntervalHoldsTheTruth)
{
    std::mt19937_64 random(11);
    std::normal_distribution<double> unit(0.0, 1.0);
    constexpr int trials = 4000;
    int inside = 0;
    for (int trial = 0; trial < trials; ++trial) {
        std::vector<ZeroEdge> edges;
        for (int i = 0; i < 8; ++i) {
            const double standard = 0.005 + 0.003 * (i % 3);
            edges.push_back(edge(i % 2 == 0 ? Edge::On : Edge::Off,
                0.3 + unit(random) * std::sqrt(2.0) * standard, standard, standard));
        }
        const auto zero = zeroDifference(edges, {});
        ASSERT_TRUE(zero);
        inside += std::abs(zero->differenceMs - 0.3) <= zero->halfWidthMs ? 1 : 0;
    }
    EXPECT_NEAR(inside / static_cast<double>(trials), 0.95, 0.015);
}

} // namespace
} // namespace twinlamp::rig
