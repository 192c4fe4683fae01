// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_profile.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::measure {

namespace {

using ::testing::DoubleNear;
using ::testing::Pointwise;

constexpr int lines = 4;

enum class Sweep
{
    Down,
    Up,
    LeftToRight,
    RightToLeft
};

/// Where along the sweep a cell lies: 0 to lines - 1.
int placeOf(Sweep sweep, int row, int column)
{
    switch (sweep) {
    case Sweep::Down:
        return row;
    case Sweep::Up:
        return lines - 1 - row;
    case Sweep::LeftToRight:
        return column;
    default:
        return lines - 1 - column;
    }
}

struct Filmed
{
    std::vector<float> cells;
    std::vector<float> light;
    std::vector<double> startMs;
    std::vector<onset::CoarseEdge> edges;
    std::vector<PairedEdge> paired;
};

/// A lamp of uneven brightness along the sweep, switched on and off every 150 ms; 1 ms frames, each
/// line lit 1.5 ms after the one before, cells noisy.
Filmed film(Sweep sweep, const std::vector<double>& brightness)
{
    std::mt19937 random(31);
    std::normal_distribution<double> normal(0.0, 0.004);
    constexpr int presses = 6;
    constexpr double firstMs = 80.0;
    constexpr double holdMs = 150.0;
    Filmed filmed;
    for (int k = 0; k < 80 + presses * 150; ++k) {
        filmed.startMs.push_back(k);
        double sum = 0.0;
        for (int row = 0; row < lines; ++row) {
            for (int column = 0; column < lines; ++column) {
                const int place = placeOf(sweep, row, column);
                const double since = k - firstMs - 1.5 * place;
                const bool lit = since >= 0.0 && static_cast<int>(since / holdMs) % 2 == 0;
                const double value = 0.02
                    + (lit ? brightness[static_cast<std::size_t>(place)] : 0.0) + normal(random);
                filmed.cells.push_back(static_cast<float>(value));
                sum += value;
            }
        }
        filmed.light.push_back(static_cast<float>(sum / (lines * lines)));
    }
    for (int i = 0; i < presses; ++i) {
        const double on = firstMs + holdMs * i;
        onset::CoarseEdge edge;
        edge.edge = i % 2 == 0 ? Edge::On : Edge::Off;
        edge.frame = static_cast<std::size_t>(on) + 3;
        filmed.edges.push_back(edge);
        filmed.paired.push_back({static_cast<std::size_t>(i), on - 20.0});
    }
    return filmed;
}

class SweepOverTheLamp : public ::testing::TestWithParam<Sweep>
{
};

TEST_P(SweepOverTheLamp, WeighsTheLinesInTheirOrder)
{
    const std::vector<double> brightness {0.1, 0.3, 0.4, 0.2};
    const Filmed filmed = film(GetParam(), brightness);
    const panel::CellTraces cells {lines, lines, filmed.cells, {0, 0, 40, 40}};
    const onset::TimedTrace goggle {filmed.light, filmed.startMs, {1.0, 0.9, 0.0, 720}, {}};
    const auto weights = sweepWeights(cells, goggle, filmed.edges, filmed.paired);
    ASSERT_TRUE(weights);
    EXPECT_THAT(*weights, Pointwise(DoubleNear(0.01), brightness));
}

INSTANTIATE_TEST_SUITE_P(AllWays, SweepOverTheLamp,
    ::testing::Values(Sweep::Down, Sweep::Up, Sweep::LeftToRight, Sweep::RightToLeft));

TEST(SweepWeights, AreNotClaimedWithoutAQuietAnswer)
{
    const Filmed filmed = film(Sweep::Down, {0.25, 0.25, 0.25, 0.25});
    const panel::CellTraces cells {lines, lines, filmed.cells, {0, 0, 40, 40}};
    const onset::TimedTrace goggle {filmed.light, filmed.startMs, {1.0, 0.9, 0.0, 720}, {}};
    EXPECT_EQ(sweepWeights(cells, goggle, filmed.edges, {}), nullptr);
}

} // namespace

} // namespace twinlamp::measure
