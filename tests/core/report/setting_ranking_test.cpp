// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/ranking_writer.h"
#include "core/report/setting_ranking.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace twinlamp::report {

namespace {

using testing::HasSubstr;

/// Settings whose runs hold latencies of the given offsets, ms.
session::Session sessionOf(const std::vector<std::vector<double>>& runOffsetsMs)
{
    session::Session session;
    std::int64_t run = 0;
    for (std::size_t i = 0; i < runOffsetsMs.size(); ++i) {
        const auto id = static_cast<std::int64_t>(i) + 1;
        session.settings.push_back({{id}, id, "setting " + std::to_string(id), {}});
        for (const double offset : runOffsetsMs[i]) {
            ++run;
            session.runs.push_back({{run}, run, {id}, "run " + std::to_string(run), ""});
            session::ClipMeasurement made;
            made.clip.file = std::to_string(run) + ".mp4";
            made.clip.captureRate = {480, 1};
            for (int k = 0; k < 12; ++k) {
                Press& press = made.presses.emplace_back();
                press.index = k;
                press.reference = realTimeFromMs(100.0 + 871.0 * k);
                press.latency = latencyFromMs(20.0 + offset + 0.31 * (k * 7 % 12));
            }
            session::Clip& clip = session.clips.emplace_back();
            clip.id = {run};
            clip.place = run;
            clip.run = {run};
            clip.measurement = std::move(made);
        }
    }
    return session;
}

SettingRanking rankingOf(const session::Session& session)
{
    std::vector<session::SettingId> ids;
    for (const session::LinkSetting& setting : session.settings) {
        ids.push_back(setting.id);
    }
    return settingRanking(session, ids, {}).value();
}

std::string words(const SettingRanking& ranking)
{
    std::string text;
    for (const Sentence& sentence : ranking.sentences) {
        text += english(sentence) + "\n";
    }
    return text;
}

} // namespace

TEST(SettingRanking, FastestComesFirstAndFarOnesAreToldApart)
{
    const SettingRanking ranking
        = rankingOf(sessionOf({{9.0, 9.2, 9.1}, {0.0, 0.2, 0.1}, {0.1, 0.0, 0.3}}));
    EXPECT_EQ(ranking.byRuns.order, (std::vector<std::size_t> {1, 2, 0}));
    EXPECT_EQ(ranking.byRuns.tiedWithFastest, 2U);
    EXPECT_THAT(words(ranking),
        HasSubstr("Fastest first, by the means of the runs' medians: "
                  "setting 2; setting 3; setting 1."));
    EXPECT_THAT(words(ranking), HasSubstr("2 of 3 pairs are told apart."));
    EXPECT_THAT(
        words(ranking), HasSubstr("Not told apart from the fastest, setting 2: setting 3."));
    ASSERT_TRUE(ranking.independent);
    EXPECT_LT(ranking.independent->pValue, 0.001);
}

TEST(SettingRanking, FewRunsTellNothingApartWhateverThePressesSay)
{
    const SettingRanking ranking = rankingOf(sessionOf({{9.0}, {0.0, 0.2, 0.1}, {20.0, 20.1}}));
    EXPECT_THAT(words(ranking), HasSubstr("0 of 3 pairs are told apart."));
    EXPECT_THAT(words(ranking), HasSubstr("setting 1: fewer than 3 runs"));
    ASSERT_TRUE(ranking.independent);
    EXPECT_LT(ranking.independent->pValue, 0.001) << "this is what decides nothing";
}

TEST(SettingRanking, JsonHoldsEveryPairOnce)
{
    const Json json
        = rankingJson(rankingOf(sessionOf({{9.0, 9.2, 9.1}, {0.0, 0.2, 0.1}, {0.1, 0.0, 0.3}})));
    EXPECT_EQ(json["pairs"].size(), 3U);
    EXPECT_EQ(json["settings"][0]["setting"], "setting 2");
    EXPECT_EQ(json["pairs"][0]["verdict"], "b-faster");
    EXPECT_EQ(json["pairs"][2]["verdict"], "undecided");
    EXPECT_EQ(json["tied_with_fastest"], Json::array({"setting 3"}));
    EXPECT_TRUE(json["as_if_presses_were_independent"]["p_value"].is_number());
}

TEST(SettingRanking, SettingWithoutAPressComesLast)
{
    const SettingRanking ranking = rankingOf(sessionOf({{}, {0.0, 0.2, 0.1}}));
    EXPECT_EQ(ranking.byRuns.order, (std::vector<std::size_t> {1, 0}));
    EXPECT_FALSE(ranking.settings[0].centreMs);
    EXPECT_FALSE(ranking.independent);
    EXPECT_THAT(rankingText(ranking), HasSubstr("setting 1"));
}

TEST(SettingRanking, FiftySettingsAreAllInTheTableAndInTheJson)
{
    std::vector<std::vector<double>> offsets;
    for (int k = 0; k < 50; ++k) {
        offsets.push_back({1.0 * k, 1.0 * k + 0.2, 1.0 * k + 0.1});
    }
    const SettingRanking ranking = rankingOf(sessionOf(offsets));
    EXPECT_EQ(rankingJson(ranking)["pairs"].size(), 50U * 49U / 2U);
    EXPECT_EQ(rankingJson(ranking)["settings"].size(), 50U);
    EXPECT_THAT(rankingText(ranking), HasSubstr("setting 50"));
}

TEST(SettingRanking, StopEndsItAtEveryStep)
{
    const session::Session session = sessionOf({{9.0, 9.2, 9.1}, {0.0, 0.2, 0.1}, {0.1, 0.0, 0.3}});
    const std::vector<session::SettingId> ids {{1}, {2}, {3}};
    int ticks = 0;
    const auto count = [&ticks](std::int64_t, std::int64_t) { ++ticks; };
    ASSERT_TRUE(settingRanking(session, ids, {}, {{}, count}).hasValue());
    EXPECT_EQ(ticks, 3 + 3); // settings, then pairs
    for (int last = 1; last <= ticks; ++last) {
        std::stop_source stop;
        int seen = 0;
        const auto ask
            = [&](std::int64_t, std::int64_t) { return ++seen == last && stop.request_stop(); };
        EXPECT_TRUE(settingRanking(session, ids, {}, {stop.get_token(), ask}).isCancelled());
        EXPECT_EQ(seen, last) << "goes on after the stop";
    }
}

} // namespace twinlamp::report
