// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/summary.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <gtest/gtest.h>
#include <random>

namespace twinlamp::stats {
namespace {

Press pressOf(std::optional<double> latencyMs, Edge edge = Edge::On)
{
    Press press;
    press.edge = edge;
    press.reference = realTimeFromMs(100.0);
    if (latencyMs) {
        press.latency = latencyFromMs(*latencyMs);
        press.firstLight = *press.reference + *press.latency;
        press.uncertainty = latencyFromMs(0.1);
        press.parts = {{UncertaintySource::FirstLight, 0.05, false},
            {UncertaintySource::CaptureRate, 3.0, true}};
    } else {
        press.flags = {Flag::NoResponse};
    }
    return press;
}

std::vector<Press> pressesOf(std::initializer_list<std::optional<double>> latencies)
{
    std::vector<Press> presses;
    for (const auto& latency : latencies) {
        presses.push_back(pressOf(latency));
        presses.back().index = static_cast<int>(presses.size()) - 1;
    }
    return presses;
}

TEST(Summary, CountsMedianAndMoments)
{
    // 20.0 to 29.0: mean 24.5, SD sqrt(110/12); ranks 2 and 9 of 10 (order_statistics_test).
    const auto presses = pressesOf({20, 21, 22, 23, 24, 25, 26, 27, 28, 29});
    const Summary summary = summarise(presses, Edge::On, {});
    EXPECT_EQ(summary.n, 10);
    EXPECT_EQ(summary.noResponse, 0);
    EXPECT_EQ(summary.medianMs, 24.5);
    EXPECT_EQ(summary.medianLowMs, 21.0);
    EXPECT_EQ(summary.medianHighMs, 28.0);
    EXPECT_NEAR(summary.meanMs.value(), 24.5, 1e-12);
    EXPECT_NEAR(summary.sdMs.value(), std::sqrt(82.5 / 9.0), 1e-12);
    EXPECT_NEAR(summary.p5Ms.value(), 20.45, 1e-12);
    EXPECT_NEAR(summary.p95Ms.value(), 28.55, 1e-12);
    EXPECT_NEAR(summary.iqrMs.value(), 4.5, 1e-12);
    EXPECT_EQ(summary.maxMs, 29.0);
    EXPECT_FALSE(summary.late.has_value());
    EXPECT_FALSE(summary.linkSpreadMs.has_value());
}

TEST(Summary, NoPressHasNoFigures)
{
    const Summary summary = summarise({}, Edge::On, {latencyFromMs(30.0), FrameRate {60, 1}});
    EXPECT_EQ(summary.n, 0);
    EXPECT_FALSE(summary.medianMs || summary.meanMs || summary.sdMs || summary.maxMs);
    EXPECT_EQ(summary.late, 0);
    EXPECT_FALSE(summary.lateShare || summary.lateLow || summary.lateHigh);
    EXPECT_FALSE(summary.linkSpreadMs);
}

TEST(Summary, FewerThanSixPressesHaveNoMedianInterval)
{
    const Summary five = summarise(pressesOf({20, 21, 22, 23, 24}), Edge::On, {});
    EXPECT_EQ(five.medianMs, 22.0);
    EXPECT_FALSE(five.medianLowMs || five.medianHighMs);
    const Summary six = summarise(pressesOf({20, 21, 22, 23, 24, 25}), Edge::On, {});
    EXPECT_EQ(six.medianLowMs, 20.0);
    EXPECT_EQ(six.medianHighMs, 25.0);
}

TEST(Summary, OnePressHasNoDeviation)
{
    const Summary summary = summarise(pressesOf({25.3}), Edge::On, {});
    EXPECT_NEAR(summary.medianMs.value(), 25.3, 1e-12);
    EXPECT_FALSE(summary.sdMs.has_value());
}

TEST(Summary, EdgeKindsAreNotPooled)
{
    auto presses = pressesOf({20, 22, 24});
    presses.push_back(pressOf(40.0, Edge::Off));
    EXPECT_EQ(summarise(presses, Edge::On, {}).n, 3);
    EXPECT_EQ(summarise(presses, Edge::Off, {}).n, 1);
    EXPECT_EQ(summarise(presses, Edge::Off, {}).medianMs, 40.0);
}

TEST(Summary, LostAnswersAreLaterThanAnyLimit)
{
    const auto presses = pressesOf({20, 21, 22, 23, 24, 25, 26, 35, std::nullopt, std::nullopt});
    const Summary summary = summarise(presses, Edge::On, {latencyFromMs(30.0), std::nullopt});
    EXPECT_EQ(summary.n, 8);
    EXPECT_EQ(summary.noResponse, 2);
    EXPECT_EQ(summary.late, 3);
    EXPECT_NEAR(summary.lateShare.value(), 0.3, 1e-15);
    // R binom.test(3, 10): 0.06673951, 0.65245285.
    EXPECT_NEAR(summary.lateLow.value(), 0.06673951, 5e-9);
    EXPECT_NEAR(summary.lateHigh.value(), 0.65245285, 5e-9);
    EXPECT_EQ(summary.medianMs, 24.5);
    EXPECT_EQ(summary.medianLowMs, 21.0);
    EXPECT_FALSE(summary.medianHighMs) << "rank 9 of 10 is a lost answer";
    EXPECT_FALSE(summary.p95Ms || summary.maxMs);
    EXPECT_EQ(summary.largestMeasuredMs, 35.0);
    EXPECT_NEAR(summary.meanMs.value(), 24.5, 1e-12) << "of the measured ones";
}

TEST(Summary, LatencyAtTheLimitIsInTime)
{
    const Summary summary
        = summarise(pressesOf({30.0, 30.000001}), Edge::On, {latencyFromMs(30.0), std::nullopt});
    EXPECT_EQ(summary.late, 1);
}

TEST(Summary, PressSetAsideCountsNowhere)
{
    auto presses = pressesOf({20, 21, 90, std::nullopt});
    presses[2].accepted = false;
    presses[3].accepted = false;
    const Summary summary = summarise(presses, Edge::On, {latencyFromMs(30.0), std::nullopt});
    EXPECT_EQ(summary.n, 2);
    EXPECT_EQ(summary.noResponse, 0);
    EXPECT_EQ(summary.setAside, 2);
    EXPECT_EQ(summary.late, 0);
    EXPECT_EQ(summary.maxMs, 21.0);
}

TEST(Summary, HoldTooShortForTheLinkIsNotHeldAgainstIt)
{
    auto presses = pressesOf({20, 21, std::nullopt});
    addFlag(presses[2].flags, Flag::TooShortForLink);
    const Summary summary = summarise(presses, Edge::On, {latencyFromMs(30.0), std::nullopt});
    EXPECT_EQ(summary.noResponse, 0);
    EXPECT_EQ(summary.late, 0);
}

TEST(Summary, OnlyPartsThatVaryLeaveTheLinkSpread)
{
    // Part common to all (3.0) stays in; the one that varies (0.05) goes.
    const auto presses = pressesOf({10, 22, 16, 16, 22, 10, 16, 16});
    const Summary summary = summarise(presses, Edge::On, {std::nullopt, FrameRate {100, 1}});
    // Squares: 4 x 36 = 144 over 7; T = 10 ms.
    const double expected = std::sqrt(144.0 / 7.0 - 100.0 / 12.0 - 0.05 * 0.05);
    EXPECT_NEAR(summary.linkSpreadMs.value(), expected, 1e-9);
    EXPECT_LE(summary.linkSpreadLowMs.value(), expected);
    EXPECT_GE(summary.linkSpreadHighMs.value(), expected);
}

// Two clips of one run, each with its own time and phase: a link of 60 frames/s that answers after
// 18 ms and the wait for its next frame, with a jitter of 0.8 ms.
TEST(Summary, SawtoothOfTheFrameClockLeavesWhatRemainsAboutIt)
{
    std::mt19937_64 random(23);
    std::uniform_real_distribution<> hold(300.0, 700.0);
    std::normal_distribution<> jitter(0.0, 0.8);
    constexpr double periodMs = 1000.0 / 60.0;
    std::vector<Press> presses;
    for (const double phase : {2.0, 11.0}) {
        double at = 150.0;
        for (int i = 0; i < 24; ++i) {
            at += hold(random);
            const double wait = periodMs - std::fmod(at - phase, periodMs);
            presses.push_back(pressOf(18.0 + wait + jitter(random)));
            presses.back().reference = realTimeFromMs(at);
        }
    }
    const Summary summary = summarise(presses, Edge::On, {std::nullopt, FrameRate {60, 1}});
    ASSERT_TRUE(summary.sawtoothPeriodMs);
    EXPECT_NEAR(*summary.sawtoothPeriodMs, periodMs, 0.01);
    EXPECT_NEAR(summary.linkSpreadMs.value(), 0.8, 0.25);
    EXPECT_LT(summary.linkSpreadHighMs.value(), 1.4);
    // At another rate than the link's there is no such clock.
    EXPECT_FALSE(summarise(presses, Edge::On, {std::nullopt, FrameRate {83, 1}}).sawtoothPeriodMs);
}

TEST(Summary, FullFrameCountsItsOwnLatency)
{
    auto presses = pressesOf({25, 26, 27, std::nullopt});
    presses[0].fullFrameLatency = latencyFromMs(36.0);
    presses[1].fullFrameLatency = latencyFromMs(38.0);
    const SummaryOptions options {latencyFromMs(37.0), std::nullopt};
    const Summary summary = summarise(presses, Edge::On, options, Figure::FullFrame);
    EXPECT_EQ(summary.n, 2) << "answered, but its full frame was not timed: left out";
    EXPECT_EQ(summary.noResponse, 1);
    EXPECT_EQ(summary.late, 2);
    EXPECT_FALSE(summary.linkSpreadMs);
}

TEST(Summary, ClipWithoutFullFramesHasNoLostOnes)
{
    const auto presses = pressesOf({25, std::nullopt});
    const Summary summary = summarise(presses, Edge::On, {}, Figure::FullFrame);
    EXPECT_EQ(summary.n + summary.noResponse, 0);
}

TEST(Summary, SeveralRunsArePooledButForTheLinkSpread)
{
    const auto first = pressesOf({20, 22, 24, 26, 28});
    const auto second = pressesOf({40, 42, 44, 46, 48});
    const std::array<RunPresses, 2> runs {first, second};
    const SummaryOptions options {std::nullopt, FrameRate {500, 1}};
    const Summary both = summariseRuns(runs, Edge::On, options);
    EXPECT_EQ(both.n, 10);
    EXPECT_EQ(both.runs, 2);
    EXPECT_EQ(both.medianMs, 34.0);
    EXPECT_GT(both.sdMs.value(), 10.0);
    // Within each run s^2 = 10; T = 2 ms.
    EXPECT_NEAR(both.linkSpreadMs.value(), std::sqrt(10.0 - 4.0 / 12.0 - 0.05 * 0.05), 1e-9);
}

TEST(Summary, OrderOfPressesChangesNothing)
{
    std::mt19937_64 random(5);
    std::gamma_distribution<> latency(4.0, 6.0);
    std::vector<Press> presses;
    for (int i = 0; i < 60; ++i) {
        presses.push_back(pressOf(i % 17 == 3 ? std::nullopt : std::optional(latency(random))));
    }
    const SummaryOptions options {latencyFromMs(30.0), FrameRate {60, 1}};
    const Summary before = summarise(presses, Edge::On, options);
    std::ranges::shuffle(presses, random);
    const Summary after = summarise(presses, Edge::On, options);
    EXPECT_EQ(after.medianMs, before.medianMs);
    EXPECT_EQ(after.late, before.late);
    EXPECT_EQ(after.p5Ms, before.p5Ms);
    EXPECT_NEAR(after.linkSpreadMs.value(), before.linkSpreadMs.value(), 1e-9);
    EXPECT_NEAR(after.linkSpreadHighMs.value(), before.linkSpreadHighMs.value(), 1e-9);
}

TEST(Summary, ShiftingAllInstantsChangesNothing)
{
    // Latencies that show a frame clock, so that the instants do count.
    std::mt19937_64 random(6);
    std::uniform_real_distribution<> unit(0.0, 1.0);
    std::vector<Press> presses;
    double at = 100.0;
    for (int i = 0; i < 40; ++i) {
        at += 700.0 + 600.0 * unit(random);
        const double frame = 1000.0 / 60.0;
        Press press = pressOf(20.0 + frame * std::ceil(at / frame) - at + 0.2 * unit(random));
        press.reference = realTimeFromMs(at);
        press.firstLight = *press.reference + *press.latency;
        presses.push_back(press);
    }
    const SummaryOptions options {latencyFromMs(30.0), FrameRate {60, 1}};
    const Summary before = summarise(presses, Edge::On, options);
    ASSERT_TRUE(before.sawtoothPeriodMs);
    for (Press& press : presses) {
        press.reference = *press.reference + latencyFromMs(54'321.0);
        press.firstLight = *press.firstLight + latencyFromMs(54'321.0);
    }
    Summary after = summarise(presses, Edge::On, options);
    for (auto figure : {&Summary::linkSpreadMs, &Summary::linkSpreadLowMs,
             &Summary::linkSpreadHighMs, &Summary::sawtoothPeriodMs}) {
        EXPECT_NEAR((after.*figure).value(), (before.*figure).value(), 1e-6);
        after.*figure = before.*figure;
    }
    EXPECT_EQ(after, before);
}

TEST(CountedLatencies, AreThoseOfTheSummary)
{
    auto presses = pressesOf({20, std::nullopt, 22, 24});
    presses[2].accepted = false;
    EXPECT_EQ(countedLatencies(presses, Edge::On),
        (std::vector<Latency> {latencyFromMs(20.0), latencyFromMs(24.0)}));
}

} // namespace
} // namespace twinlamp::stats
