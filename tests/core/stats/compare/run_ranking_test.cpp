// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/run_ranking.h"
#include "tests/core/stats/compare/simulated_link.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <iostream>

namespace twinlamp::stats {
namespace {

using Settings = std::vector<std::vector<RunLatencies>>;

Settings simulatedSettings(RandomSource& random, const std::vector<double>& travelsMs, int runs)
{
    Settings settings;
    for (const double travel : travelsMs) {
        simulated::Link link {"", 60.0, 120.0, 0.0, travel, 0.3};
        settings.push_back(simulated::runs(random, link, runs, 20));
    }
    return settings;
}

TEST(RankByRuns, OrdersSettingsAndTellsThemApart)
{
    RandomSource random(31);
    const RunRanking ranking = rankByRuns(simulatedSettings(random, {60.0, 15.0, 16.0}, 6)).value();
    EXPECT_EQ(ranking.order.back(), 0U);
    EXPECT_EQ(ranking.tiedWithFastest, 2U);
    ASSERT_EQ(ranking.pairs.size(), 3U);
    EXPECT_TRUE(ranking.pairs[0].toldApart); // 60 against 15
    EXPECT_EQ(ranking.pairs[0].shift.verdict, Verdict::BLess);
    EXPECT_FALSE(ranking.pairs[2].toldApart); // 15 against 16
    for (const RankedPair& pair : ranking.pairs) {
        EXPECT_GE(*pair.adjustedPValue, *pair.shift.pValue);
    }
}

TEST(RankByRuns, SettingWithFewRunsStaysUndecided)
{
    RandomSource random(32);
    Settings settings = simulatedSettings(random, {15.0, 90.0}, 4);
    settings.push_back(simulatedSettings(random, {200.0}, 2).front());
    settings.emplace_back();
    const RunRanking ranking = rankByRuns(settings).value();
    EXPECT_THAT(ranking.order, testing::ElementsAre(0, 1, 2, 3));
    EXPECT_EQ(ranking.tiedWithFastest, 1U);
    EXPECT_EQ(ranking.pairs[1].adjustedPValue, std::nullopt);
    EXPECT_FALSE(ranking.pairs[1].toldApart);
}

TEST(RankByRuns, NoSettingsOrOne)
{
    EXPECT_EQ(rankByRuns({}).value(), RunRanking {});
    RandomSource random(33);
    EXPECT_EQ(rankByRuns(simulatedSettings(random, {15.0}, 3)).value().tiedWithFastest, 1U);
}

TEST(RankByRuns, StopEndsIt)
{
    RandomSource random(35);
    const Settings settings = simulatedSettings(random, {15.0, 16.0, 17.0}, 4);
    std::stop_source stop;
    std::vector<std::int64_t> seen;
    const JobControl control {stop.get_token(), [&](std::int64_t done, std::int64_t total) {
                                  EXPECT_EQ(total, 3);
                                  seen.push_back(done);
                                  if (done == 1) {
                                      stop.request_stop();
                                  }
                              }};
    EXPECT_TRUE(rankByRuns(settings, {}, control).isCancelled());
    EXPECT_THAT(seen, testing::ElementsAre(0, 1));
}

TEST(RankByRuns, EqualSettingsYieldAnyFalsePairSeldom)
{
    // Four equal settings with locked clocks, six pairs; 5 % and three counting errors.
    RandomSource random(34);
    RunComparisonOptions options;
    options.replicates = 0;
    options.planNeeded = false;
    constexpr int trials = 2000;
    int anyFalse = 0;
    for (int trial = 0; trial < trials; ++trial) {
        const auto settings = simulatedSettings(random, {15.0, 15.0, 15.0, 15.0}, 4);
        const RunRanking ranking = rankByRuns(settings, options).value();
        anyFalse += ranking.tiedWithFastest < 4
                || std::ranges::any_of(ranking.pairs, &RankedPair::toldApart)
            ? 1
            : 0;
    }
    const double rate = static_cast<double>(anyFalse) / trials;
    std::cout << "rate of campaigns of 4 equal settings with any false pair " << rate << '\n';
    EXPECT_LE(rate, 0.05 + 3.0 * std::sqrt(0.05 * 0.95 / trials));
}

} // namespace
} // namespace twinlamp::stats
