// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/rig/time_base.h"

#include <gtest/gtest.h>
#include <random>

namespace twinlamp::rig {
namespace {

/// Onsets given in frames: at 1000 frames/s assumed, a frame is a ms.
constexpr double assumedHz = 1000.0;

TimeBaseEdge at(double frames, double standard, Edge kind = Edge::On)
{
    return {kind, {frames, standard, 0.0, false}};
}

TimeBaseInput input(const std::vector<TimeBaseEdge>& edges, double periodMs)
{
    return {edges, assumedHz, std::nullopt, periodMs, 0.0};
}

const std::vector<TimeBaseEdge> worked {
    at(100.02, .02), at(579.01, .02), at(1058.03, .02), at(2015.98, .02), at(2495.01, .02)};

TEST(TimeBaseRate, WorkedExampleWithAMissingCycle)
{
    // Least squares and t.ppf(0.975, 3) computed with SciPy 1.10.
    const auto fit = timeBaseRate(input(worked, 2000.0));
    ASSERT_TRUE(fit) << fit.error().detail;
    EXPECT_NEAR(fit->captureRateHz, 239.49767441860467, 1e-9);
    EXPECT_NEAR(fit->halfWidthHz, 0.007102040512067106, 1e-9);
    EXPECT_NEAR(fit->scatterMs, 0.0772885178287867, 1e-9);
    EXPECT_EQ(fit->cycles, 5);
    EXPECT_EQ(fit->missing, 1);
    EXPECT_EQ(fit->edges, 5);
}

TEST(TimeBaseRate, PeriodsOwnUncertaintyEnters)
{
    TimeBaseInput with = input(worked, 2000.0);
    with.periodHalfWidthMs = 0.1;
    // SciPy 1.10: 216.52 effective degrees.
    EXPECT_NEAR(timeBaseRate(with)->halfWidthHz, 0.012820343252684803, 1e-9);
}

TEST(TimeBaseRate, BothKindsShareASlopeAndKeepTheirOwnStart)
{
    const std::vector<TimeBaseEdge> edges {at(10.0, .01), at(30.01, .02, Edge::Off), at(58.02, .02),
        at(77.98, .01, Edge::Off), at(105.99, .02), at(126.02, .02, Edge::Off), at(154.01, .01)};
    const auto fit = timeBaseRate(input(edges, 1000.0));
    ASSERT_TRUE(fit);
    // Weighted least squares with two intercepts, NumPy; t.ppf(0.975, 4), SciPy 1.10.
    EXPECT_NEAR(fit->captureRateHz, 48.00268292682927, 1e-9);
    EXPECT_NEAR(fit->halfWidthHz, 0.014334568677031022, 1e-9);
}

TEST(TimeBaseRate, WrongPeriodIsRefusedAndTheSentenceNamesTheLikelyOne)
{
    TimeBaseInput half = input(worked, 1000.0);
    half.labelledRateHz = 240.0;
    const auto refused = timeBaseRate(half);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().why, Cause::InvalidValue);
    EXPECT_NE(refused.error().detail.find("1000 ms does not fit"), std::string::npos);
    EXPECT_NE(refused.error().detail.find("a period of 1996 ms"), std::string::npos)
        << refused.error().detail;
    half.periodMs = 2000.0;
    EXPECT_TRUE(timeBaseRate(half));
}

TEST(TimeBaseRate, SwitchingByHandIsRefused)
{
    const std::vector<TimeBaseEdge> edges {
        at(0.0, .01), at(480.0, .01), at(930.0, .01), at(1490.0, .01), at(1900.0, .01)};
    const auto refused = timeBaseRate(input(edges, 2000.0));
    ASSERT_FALSE(refused);
    EXPECT_NE(refused.error().detail.find("not one period apart"), std::string::npos);
}

TEST(TimeBaseRate, TwoOnsetsOfAKindAreTooFew)
{
    const std::vector<TimeBaseEdge> edges {
        at(0.0, .01), at(200.0, .01, Edge::Off), at(480.0, .01), at(680.0, .01, Edge::Off)};
    EXPECT_EQ(timeBaseRate(input(edges, 2000.0)).error().why, Cause::TooFew);
}

TEST(TimeBaseRate, LampInStepWithTheFramesStaysOpenByTheGap)
{
    std::vector<TimeBaseEdge> edges;
    for (int cycle = 0; cycle <= 10; ++cycle) {
        edges.push_back(at(480.0 * cycle, 0.1 / std::sqrt(3.0)));
        edges.back().onset.isBounded = true; // anywhere within +-0.1 frames
    }
    const auto fit = timeBaseRate(input(edges, 2000.0));
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->captureRateHz, 240.0, 1e-12);
    EXPECT_NEAR(fit->scatterMs, 0.0, 1e-9);
    // The truth may drift from one end of the gap to the other: 0.2 frames over 20 s.
    EXPECT_GT(fit->halfWidthHz, 0.2 / 20.0);
}

TEST(TimeBaseRate, IntervalHoldsTheTruth)
{
    std::mt19937_64 random(5);
    std::normal_distribution<double> noise(0.0, 0.03);
    constexpr int trials = 4000;
    int inside = 0;
    for (int trial = 0; trial < trials; ++trial) {
        std::vector<TimeBaseEdge> edges;
        for (int cycle = 0; cycle < 8; ++cycle) {
            edges.push_back(at(479.61 * cycle + noise(random), 0.03));
            edges.push_back(at(479.61 * cycle + 200.0 + noise(random), 0.03, Edge::Off));
        }
        const auto fit = timeBaseRate(input(edges, 2000.0));
        ASSERT_TRUE(fit);
        inside += std::abs(fit->captureRateHz - 479.61 / 2.0) <= fit->halfWidthHz ? 1 : 0;
    }
    EXPECT_NEAR(inside / static_cast<double>(trials), 0.95, 0.015);
}

} // namespace
} // namespace twinlamp::rig
