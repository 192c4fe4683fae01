// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/panel/sweep.h"

#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::panel {

namespace {

constexpr int bands = 12;

/// Starts of all bands after one press: a sweep of scanMs from startMs; bands before `meeting` come
/// an interval later.
PressBands sweep(double startMs, double scanMs, bool forward, double meeting, double intervalMs,
    std::mt19937& random)
{
    std::normal_distribution<double> normal(0.0, 0.05);
    PressBands press;
    for (int b = 0; b < bands; ++b) {
        BandStart band;
        band.low = static_cast<double>(b) / bands;
        band.high = static_cast<double>(b + 1) / bands;
        const double along = alongSweep(band, forward);
        band.startMs = startMs + scanMs * along + (along < meeting - 1e-9 ? intervalMs : 0.0)
            + normal(random);
        press.push_back(band);
    }
    return press;
}

TEST(FitSweep, FindsScanTimeAndDirection)
{
    std::mt19937 random(31);
    for (const bool forward : {true, false}) {
        std::vector<PressBands> presses;
        for (int i = 0; i < 10; ++i) {
            presses.push_back(sweep(100.0 * i, 7.3, forward, 0.0, 16.0, random));
        }
        const auto fit = fitSweep(presses, 16.0);
        ASSERT_TRUE(fit);
        EXPECT_EQ(fit->forward, forward);
        EXPECT_NEAR(fit->scanMs, 7.3, 0.1);
        for (int i = 0; i < 10; ++i) {
            ASSERT_TRUE(fit->presses[static_cast<std::size_t>(i)]);
            EXPECT_NEAR(fit->presses[static_cast<std::size_t>(i)]->startMs, 100.0 * i, 0.12);
        }
    }
}

TEST(FitSweep, TellsTwoSweepsAnIntervalApart)
{
    std::mt19937 random(32);
    std::vector<PressBands> presses;
    for (int i = 0; i < 8; ++i) {
        presses.push_back(sweep(100.0 * i, 7.3, true, i / 12.0, 16.0, random));
    }
    const auto fit = fitSweep(presses, 16.0);
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->scanMs, 7.3, 0.1);
    for (std::size_t i = 0; i < 8; ++i) {
        std::size_t second = 0;
        for (const bool s : fit->presses[i]->second) {
            second += s ? 1U : 0U;
        }
        EXPECT_EQ(second, i) << "press " << i;
    }
}

TEST(FitSweep, APanelThatChangesAllAtOnceHasNoScan)
{
    std::mt19937 random(33);
    std::vector<PressBands> presses;
    for (int i = 0; i < 6; ++i) {
        presses.push_back(sweep(100.0 * i, 0.0, true, 0.0, 16.0, random));
    }
    const auto fit = fitSweep(presses, 16.0);
    ASSERT_TRUE(fit);
    EXPECT_LT(fit->scanMs, 0.15);
}

TEST(FitSweep, GivesNothingForTwoBands)
{
    EXPECT_FALSE(fitSweep({{BandStart {}, BandStart {0.5, 1.0, 3.0}}}, std::nullopt));
}

} // namespace

} // namespace twinlamp::panel
