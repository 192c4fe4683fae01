// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/summary_details.h"

#include <array>
#include <gtest/gtest.h>

namespace twinlamp::stats {
namespace {

/// Presses 2 s apart; nothing: a lost answer.
std::vector<Press> pressesOf(const std::vector<std::optional<double>>& latencies)
{
    std::vector<Press> presses;
    for (const auto& latency : latencies) {
        Press press;
        press.index = static_cast<int>(presses.size());
        press.reference = realTimeFromMs(2000.0 * press.index);
        if (latency) {
            press.latency = latencyFromMs(*latency);
        } else {
            press.flags = {Flag::NoResponse};
        }
        presses.push_back(press);
    }
    return presses;
}

SummaryDetails detailsOf(const std::vector<Press>& presses)
{
    const std::array<RunPresses, 1> one {presses};
    return summaryDetails(one, Edge::On);
}

TEST(SummaryDetails, QuantilesSayHowManyPressesTheyNeed)
{
    const SummaryDetails few = detailsOf(pressesOf({20, 21, 22, 23, 24, 25, 26, 27, 28, 29}));
    EXPECT_NEAR(*few.p95.estimate, 28.55, 1e-9);
    EXPECT_NEAR(*few.p99.estimate, 28.91, 1e-9);
    EXPECT_EQ(few.p5.needs, 72); // 0.95^n <= 0.025
    EXPECT_EQ(few.p95.needs, 72);
    EXPECT_EQ(few.p99.needs, 368); // 0.99^n <= 0.025
    std::vector<std::optional<double>> many;
    for (int i = 0; i < 72; ++i) {
        many.emplace_back(20.0 + 0.1 * i);
    }
    const SummaryDetails enough = detailsOf(pressesOf(many));
    EXPECT_FALSE(enough.p95.needs);
    EXPECT_TRUE(enough.p95.interval.low && enough.p95.interval.high);
}

TEST(SummaryDetails, LostAnswersHaveAShareAndMissOnesABound)
{
    const SummaryDetails details = detailsOf(pressesOf({20, 21, {}, 23, 24, {}, 26, 27, 28, 29}));
    EXPECT_EQ(details.noResponse, (Count {2, 10}));
    EXPECT_NEAR(*details.noResponseShare, 0.2, 1e-12);
    EXPECT_EQ(details.noResponseInterval, clopperPearson({2, 10}));
    EXPECT_NEAR(details.largestMissedShare, 0.2588656, 1e-6); // 1 - 0.05^(1/10)
    EXPECT_FALSE(details.p95.estimate); // falls among the lost
    const SummaryDetails none = detailsOf({});
    EXPECT_FALSE(none.noResponseShare);
    EXPECT_EQ(none.largestMissedShare, 1.0);
}

TEST(SummaryDetails, OutliersAreNamedByClipAndPress)
{
    const auto first = pressesOf({20, 21, 22, 23, 24, 20.5, 21.5});
    const auto second = pressesOf({20, {}, 22, 95, 24});
    const std::array<RunPresses, 2> clips {first, second};
    const SummaryDetails details = summaryDetails(clips, Edge::On);
    ASSERT_EQ(details.outliers.size(), 1U);
    EXPECT_EQ(details.outliers[0].clip, 1U);
    EXPECT_EQ(details.outliers[0].press, 3);
    EXPECT_EQ(details.outliers[0].latencyMs, 95.0);
    EXPECT_GT(details.outliers[0].score, 3.5);
}

TEST(TimeFigures, DriftIsInMsAMinute)
{
    // 0.1 ms a press, a press every 2 s: 3 ms a minute.
    std::vector<std::optional<double>> rising;
    for (int i = 0; i < 20; ++i) {
        rising.emplace_back(20.0 + 0.1 * i);
    }
    const TimeFigures figures = timeFigures(pressesOf(rising), Edge::On);
    EXPECT_NEAR(figures.drift->slope, 3.0, 1e-6);
    EXPECT_LT(figures.trend->pValue, 1e-6);
    EXPECT_GT(figures.neighbours->r, 0.5);
    EXPECT_LT(figures.order->z, 0.0);
    const TimeFigures off = timeFigures(pressesOf(rising), Edge::Off);
    EXPECT_FALSE(off.drift || off.trend || off.order || off.neighbours);
}

TEST(RunDrift, IsThatOfTheMedians)
{
    const std::vector<RunLatencies> runs {
        {{20, 21, 22}, 0}, {{}, 4}, {{24, 25, 26}, 0}, {{26, 27, 28}, 0}, {{28, 29, 30}, 0}};
    const RunDrift drift = runDrift(runs);
    EXPECT_NEAR(drift.drift->slope, 2.0, 1e-12);
    EXPECT_NEAR(drift.trend->tau, 1.0, 1e-12);
}

TEST(LatenciesByRun, HoldWhatTheSummaryCounts)
{
    auto presses = pressesOf({20, {}, 22, 23});
    presses[3].accepted = false;
    presses[2].edge = Edge::Off;
    const std::array<RunPresses, 2> runs {presses, RunPresses {}};
    const auto byRun = latenciesByRun(runs, Edge::On);
    ASSERT_EQ(byRun.size(), 2U);
    EXPECT_EQ(byRun[0].latenciesMs, std::vector<double> {20.0});
    EXPECT_EQ(byRun[0].lost, 1);
    EXPECT_EQ(byRun[1].presses(), 0);
    EXPECT_EQ(latenciesByRun(runs, Edge::On, Figure::FullFrame)[0].lost, 0);
}

} // namespace
} // namespace twinlamp::stats
