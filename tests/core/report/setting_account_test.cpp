// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/setting_account.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace twinlamp::report {
namespace {

using testing::HasSubstr;
using testing::Not;

/// One setting, its runs given as latencies; nothing stands for a lost answer. A run is a clip.
session::Session campaign(const std::vector<std::vector<std::optional<double>>>& runs)
{
    session::Session session;
    session.settings = {{{1}, 0, "narrow", {}}};
    std::int64_t number = 0;
    for (const auto& latencies : runs) {
        ++number;
        session.runs.push_back({{number}, number, {1}, "run " + std::to_string(number), ""});
        session::ClipMeasurement made;
        made.clip.file = "clips/" + std::to_string(number) + ".mp4";
        double at = 100.0;
        for (const auto& latency : latencies) {
            Press press;
            press.index = static_cast<int>(made.presses.size());
            press.reference = realTimeFromMs(at);
            if (latency) {
                press.latency = latencyFromMs(*latency);
                press.fullFrameLatency = latencyFromMs(*latency + 9.0);
            } else {
                press.flags = {Flag::NoResponse};
            }
            made.presses.push_back(press);
            at += 871.0;
        }
        PanelTiming panel;
        panel.newFrameInterval = latencyFromMs(number == 1 ? 20.0 : 10.0);
        panel.heldShare = 0.25;
        made.panelTiming = panel;
        session::Clip& clip = session.clips.emplace_back();
        clip.id = {number};
        clip.place = number;
        clip.run = {number};
        clip.file.absolutePath = made.clip.file;
        clip.measurement = std::move(made);
    }
    return session;
}

std::string words(const std::vector<Sentence>& sentences)
{
    std::string text;
    for (const Sentence& sentence : sentences) {
        text += english(sentence) + "\n";
    }
    return text;
}

} // namespace

// Three medians of 21, 24 and 27: mean 24, s 3, t(0.975; 2) = 4.302653 (table of Student's t, from
// memory), so 24 -/+ 4.302653 * 3 / sqrt(3) = 24 -/+ 7.4524.
TEST(SettingAccount, CentreIsTheMeanOfTheRunsMediansWithStudentsT)
{
    const SettingAccount account = settingAccount(
        campaign({{20.0, 21.0, 22.0}, {23.0, 24.0, 25.0}, {26.0, 27.0, 28.0}}), {1});
    ASSERT_TRUE(account.centreMs);
    EXPECT_NEAR(account.centreMs->value, 24.0, 1e-9);
    EXPECT_NEAR(*account.centreMs->interval.low, 24.0 - 7.4524, 1e-4);
    EXPECT_NEAR(*account.centreMs->interval.high, 24.0 + 7.4524, 1e-4);
    EXPECT_NEAR(account.fullFrameCentreMs->value, 33.0, 1e-9);
    EXPECT_THAT(words(account.sentences), HasSubstr("first light after 24 ms"));
    EXPECT_EQ(account.clips.size(), 3U);
    EXPECT_NEAR(*account.clips[2].on.medianMs, 27.0, 1e-9);
}

TEST(SettingAccount, TwoRunsAskForARestartOfTheLink)
{
    const SettingAccount account = settingAccount(campaign({{20.0, 21.0}, {23.0, 24.0}}), {1});
    EXPECT_THAT(words(account.sentences), HasSubstr("restart the link"));
    EXPECT_THAT(words(account.sentences), Not(HasSubstr("first light after")));
}

TEST(SettingAccount, RegionsFoundWithDoubtAreSaid)
{
    session::Session session = campaign({{20.0, 21.0}, {23.0, 24.0}, {22.0, 25.0}});
    EXPECT_EQ(settingAccount(session, {1}).clipsDoubtful, 0);
    session::ClipMeasurement doubtful = *session.clips[1].measurement;
    doubtful.notes.push_back({"located-unsure", {}});
    session.clips[1].measurement = std::move(doubtful);
    const SettingAccount account = settingAccount(session, {1});
    EXPECT_EQ(account.clipsDoubtful, 1);
    EXPECT_THAT(words(account.sentences), HasSubstr("regions were found with doubt: 1"));
}

TEST(SettingAccount, OneRunIsNoFigureOverRuns)
{
    const std::string text = accountsText({settingAccount(campaign({{20.0, 21.0}}), {1})});
    EXPECT_THAT(text, testing::ContainsRegex("centre over runs, ms +- +-"));
}

TEST(SettingAccount, PanelFiguresAreMeansOverRuns)
{
    const SettingAccount account
        = settingAccount(campaign({{20.0, 21.0}, {23.0, 24.0}, {22.0, 25.0}}), {1});
    // 50, 100 and 100 new frames a second.
    EXPECT_NEAR(account.panel.newFrameHz->value, 250.0 / 3.0, 1e-9);
    EXPECT_NEAR(account.panel.heldShare->value, 0.25, 1e-12);
    EXPECT_NEAR(*account.panel.heldShare->interval.low, 0.25, 1e-12);
    EXPECT_FALSE(account.panel.scanMs);
}

TEST(SettingAccount, LostAnswersLateOnesAndNeedsAreSaid)
{
    const SettingAccount account = settingAccount(
        campaign({{20.0, 21.0, std::nullopt}, {23.0, 24.0, 40.0}, {22.0, 25.0, 26.0}}), {1},
        latencyFromMs(30.0));
    EXPECT_EQ(account.firstLight.summary.noResponse, 1);
    const std::string text = words(account.sentences);
    EXPECT_THAT(text, HasSubstr("1 of 9 presses were never answered, 11.1 %"));
    EXPECT_THAT(text, HasSubstr("2 of 9 presses late or lost, 22.2 %"));
    // 72 presses give p5 and p95 an interval: 0.95^n + ... < 0.05 both ways (statistics reference).
    EXPECT_THAT(text, HasSubstr("p95"));
}

TEST(SettingAccount, JsonAndTextHoldTheSameFigures)
{
    const session::Session session
        = campaign({{20.0, 21.0, 22.0}, {23.0, 24.0, 25.0}, {26.0, 27.0, 28.0}});
    const std::vector<SettingAccount> accounts {settingAccount(session, {1})};
    const Json json = accountsJson(accounts);
    const Json& setting = json["settings"][0];
    EXPECT_EQ(setting["setting"], "narrow");
    EXPECT_NEAR(setting["centre_over_runs"]["estimate_ms"].get<double>(), 24.0, 1e-9);
    EXPECT_EQ(setting["clips"].size(), 3U);
    EXPECT_EQ(setting["clips"][1]["summary"]["n"], 3);
    EXPECT_EQ(setting["summary_full_frame"]["n"], 9);
    const std::string one = accountsText(accounts);
    EXPECT_THAT(one, HasSubstr("centre over runs, ms"));
    EXPECT_THAT(one, HasSubstr("new frames/s"));
    EXPECT_THAT(one, HasSubstr("3.mp4"));
    EXPECT_THAT(accountsText({accounts[0], accounts[0]}), HasSubstr("over runs (95 %), ms"));
    EXPECT_EQ(accountsText({}), "No link setting yet.\n");
}

TEST(SettingAccount, ASettingWithoutPressesSaysSo)
{
    const SettingAccount account = settingAccount(campaign({}), {1});
    EXPECT_FALSE(account.centreMs);
    EXPECT_THAT(words(account.sentences), HasSubstr("no press that counts yet"));
}

} // namespace twinlamp::report
