// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/link/latency_model.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <numeric>

namespace twinlamp::link {
namespace {

/// 100 frames/s into a panel; packets go out in no time, nothing is lost.
LinkModel instant(double frameRateHz)
{
    LinkModel link;
    link.bitRateMbit = 1.0;
    link.frameRateHz = frameRateHz;
    link.airRateMbit = 1e9;
    return link;
}

/// 10 packets a frame, 2 ms to send, repeats of 3 ms.
LinkModel lossy(double loss, double allowanceMs)
{
    LinkModel link;
    link.bitRateMbit = 12.0;
    link.frameRateHz = 100.0;
    link.airRateMbit = 60.0;
    link.loss = loss;
    link.roundTripMs = 3.0;
    link.allowanceMs = allowanceMs;
    return link;
}

double meanOf(const std::vector<double>& values)
{
    return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

TEST(LatencyDistribution, TwoUnrelatedClocks)
{
    // Two even waits: mean, SD and quantiles, computed outside the project (trapezoid).
    struct Row
    {
        double frameHz;
        double panelHz;
        double mean;
        double sd;
        double p5;
        double p50;
        double p95;
        double p99;
    };

    for (const Row row :
        {Row {60, 60, 16.666667, 6.804138, 5.270463, 16.666667, 28.062871, 30.976311},
            {60, 100, 13.333333, 5.610836, 4.082483, 13.333333, 22.584184, 24.840925},
            {100, 100, 10.0, 4.082483, 3.162278, 10.0, 16.837722, 18.585786},
            {120, 100, 9.166667, 3.757708, 2.886751, 9.166667, 15.446582, 17.042339},
            {60, 120, 12.5, 5.379144, 3.726780, 12.5, 21.273220, 23.333333},
            {90, 144, 9.027778, 3.782439, 2.777778, 9.027778, 15.277778, 16.813296}}) {
        const auto found = latencyDistribution(instant(row.frameHz), {0.0, row.panelHz});
        ASSERT_TRUE(found && *found);
        constexpr double printed = 1e-6; // six decimals, and 1e-8 ms to send
        EXPECT_NEAR((*found)->meanMs(), row.mean, printed);
        EXPECT_NEAR((*found)->sdMs(), row.sd, printed);
        EXPECT_NEAR((*found)->quantileMs(0.05), row.p5, printed);
        EXPECT_NEAR((*found)->quantileMs(0.5), row.p50, printed);
        EXPECT_NEAR((*found)->quantileMs(0.95), row.p95, printed);
        EXPECT_NEAR((*found)->quantileMs(0.99), row.p99, printed);
    }
}

TEST(LatencyDistribution, WithoutAPanelOnlyTheFramePhaseVaries)
{
    const auto found = latencyDistribution(instant(100.0), {7.0, {}});
    ASSERT_TRUE(found && *found);
    EXPECT_NEAR((*found)->meanMs(), 12.0, 1e-6);
    EXPECT_NEAR((*found)->sdMs(), 10.0 / std::sqrt(12.0), 1e-9);
    EXPECT_EQ((*found)->shareUpTo(6.9), 0.0);
    EXPECT_NEAR((*found)->shareUpTo(12.0), 0.5, 1e-6);
    EXPECT_EQ((*found)->shareUpTo(18.0), 1.0);
}

TEST(SimulatedLink, AgreesWithTheClosedForm)
{
    // 20 000 presses; five standard errors.
    for (const double loss : {0.0, 0.02, 0.1, 0.3}) {
        for (const double allowance : {0.0, 7.0, 30.0}) {
            const LinkModel link = lossy(loss, allowance);
            const LatencyParts parts {11.0, 120.0};
            const auto figures = linkFigures(link);
            const auto closed = latencyDistribution(link, parts);
            const auto simulated = simulateLink(link, parts);
            ASSERT_TRUE(figures && closed && simulated);
            ASSERT_TRUE(*closed) << figures->lateShare;
            const auto presses = static_cast<double>(simulated->latenciesMs.size());
            EXPECT_EQ(presses, 20'000.0);
            const double late = figures->lateShare;
            EXPECT_NEAR(
                simulated->lateShare, late, 5.0 * std::sqrt(late * (1.0 - late) / presses) + 1e-12);
            EXPECT_NEAR(meanOf(simulated->latenciesMs), (*closed)->meanMs(),
                5.0 * (*closed)->sdMs() / std::sqrt(presses));
            for (const double share : {0.05, 0.5, 0.95, 0.99}) {
                const double at = (*closed)->quantileMs(share);
                const auto below = static_cast<double>(std::ranges::count_if(
                    simulated->latenciesMs, [at](double latency) { return latency <= at; }));
                EXPECT_NEAR(below / presses, share, 5.0 * std::sqrt(share * (1 - share) / presses))
                    << loss << " " << allowance;
            }
        }
    }
}

TEST(SimulatedLink, IsSeeded)
{
    const auto once = simulateLink(lossy(0.1, 6.0), {}, {500, 3, 1.0});
    EXPECT_EQ(once, simulateLink(lossy(0.1, 6.0), {}, {500, 3, 1.0}));
    EXPECT_NE(once, simulateLink(lossy(0.1, 6.0), {}, {500, 4, 1.0}));
}

TEST(SimulatedLink, BurstsKeepTheLossAndGatherIt)
{
    // Without repeats, fewer frames carry the same losses.
    const LinkModel link = lossy(0.05, 0.0);
    const auto even = simulateLink(link, {});
    const auto bursts = simulateLink(link, {}, {20'000, 5, 4.0});
    ASSERT_TRUE(even && bursts);
    EXPECT_LT(bursts->lateShare, even->lateShare - 0.1);
    // One packet a frame: the share of late frames is the loss itself.
    LinkModel one = link;
    one.packetBytes = 1e6;
    const auto single = simulateLink(one, {}, {20'000, 6, 4.0});
    EXPECT_NEAR(single->lateShare, 0.05, 5.0 * std::sqrt(0.05 * 0.95 / 20'000));
}

TEST(SimulatedLink, LinkThatCannotKeepUpShowsNothing)
{
    LinkModel link = lossy(0.0, 0.0);
    link.airRateMbit = 10.0;
    const auto simulated = simulateLink(link, {});
    ASSERT_TRUE(simulated);
    EXPECT_TRUE(simulated->latenciesMs.empty());
    EXPECT_EQ(simulated->lateShare, 1.0);
    EXPECT_FALSE(latencyDistribution(link, {}).value().has_value());
    // Ten packets of which each arrives with 5 %: no frame ever does.
    const auto hopeless = simulateLink(lossy(0.95, 0.0), {}, {100, 7, 1.0});
    EXPECT_LT(hopeless->latenciesMs.size(), 100U);
    EXPECT_FALSE(latencyDistribution(lossy(0.95, 0.0), {}).value().has_value());
}

TEST(SimulatedLink, RefusesWhatIsNoLink)
{
    EXPECT_FALSE(simulateLink(lossy(0.1, 0.0), {-1.0, {}}).has_value());
    EXPECT_FALSE(simulateLink(lossy(0.1, 0.0), {0.0, 0.0}).has_value());
    EXPECT_FALSE(simulateLink(lossy(0.1, 0.0), {}, {100, 1, 0.5}).has_value());
    EXPECT_FALSE(latencyDistribution(lossy(1.5, 0.0), {}).has_value());
}

} // namespace
} // namespace twinlamp::link
