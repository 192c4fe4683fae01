// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/comparison_sentences.h"
#include "core/report/comparison_writer.h"
#include "core/report/setting_comparison.h"

#include <algorithm>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace twinlamp::report {
namespace {

using testing::HasSubstr;
using testing::Not;

/// A session of two settings, given as the latencies of their runs; a run is a clip.
class Campaign
{
public:
    explicit Campaign(
        const std::vector<std::vector<double>>& a, const std::vector<std::vector<double>>& b)
    {
        m_session.settings = {{{1}, 0, "narrow", {}}, {{2}, 1, "wide", {}}};
        for (const auto& run : a) {
            addRun({1}, run);
        }
        for (const auto& run : b) {
            addRun({2}, run);
        }
    }

    session::Session& session() { return m_session; }

    [[nodiscard]] SettingComparison compared(const ComparisonOptions& options = {}) const
    {
        return settingComparison(m_session, {{1}, {2}}, options).value();
    }

    /// Presses of one clip, to be put back with `measure`.
    [[nodiscard]] session::ClipMeasurement measurement(std::size_t clip) const
    {
        return *m_session.clips[clip].measurement;
    }

    void measure(std::size_t clip, session::ClipMeasurement measurement)
    {
        m_session.clips[clip].measurement = std::move(measurement);
    }

private:
    void addRun(session::SettingId setting, const std::vector<double>& latencies)
    {
        const auto number = static_cast<std::int64_t>(m_session.runs.size()) + 1;
        m_session.runs.push_back({{number}, number, setting, "run " + std::to_string(number), ""});
        session::ClipMeasurement made;
        made.clip.file = "clips/" + std::to_string(number) + ".mp4";
        made.clip.captureRate = {480, 1};
        double at = 100.0;
        for (const double latency : latencies) {
            Press press;
            press.index = static_cast<int>(made.presses.size());
            press.reference = realTimeFromMs(at);
            press.latency = latencyFromMs(latency);
            press.parts = {{UncertaintySource::ZeroCorrection, 0.3, true}};
            made.presses.push_back(press);
            at += 871.0;
        }
        session::Clip& clip = m_session.clips.emplace_back();
        clip.id = {number};
        clip.place = number;
        clip.run = {number};
        clip.measurement = std::move(made);
    }

    session::Session m_session;
};

std::string words(const std::vector<Sentence>& sentences)
{
    std::string text;
    for (const Sentence& sentence : sentences) {
        text += english(sentence) + "\n";
    }
    return text;
}

Campaign nearAndFar()
{
    return Campaign({{20, 22, 24, 26}, {21, 23, 25, 27}, {20, 23, 24, 27}},
        {{40, 42, 44, 46}, {41, 43, 45, 47}, {40, 43, 44, 47}});
}

TEST(SettingComparison, ShiftIsThatOfTheRunMedians)
{
    const SettingComparison comparison = nearAndFar().compared();
    EXPECT_EQ(comparison.a.name, "narrow");
    EXPECT_EQ(comparison.a.runs, 3);
    EXPECT_NEAR(comparison.byRuns.shift.byRuns.difference.value, 20.0, 1e-9);
    EXPECT_EQ(comparison.byRuns.shift.byRuns.verdict, stats::Verdict::ALess);
    EXPECT_NEAR(comparison.independent.shift->value, 20.0, 1e-9);
    EXPECT_NEAR(comparison.independent.superiority->chance, 1.0, 1e-12); // B always takes longer
    EXPECT_THAT(words(comparison.sentences), HasSubstr("A is faster: B less A is 20.0 ms"));
}

TEST(SettingComparison, SetAsidePressesCountNowhere)
{
    Campaign campaign = nearAndFar();
    session::ClipMeasurement changed = campaign.measurement(0);
    changed.presses[3].latency = latencyFromMs(900.0);
    setAside(changed.presses[3], Flag::AmbiguousPairing);
    campaign.measure(0, changed);
    const SettingComparison comparison = campaign.compared();
    EXPECT_EQ(comparison.a.summary.n, 11);
    EXPECT_EQ(comparison.a.summary.setAside, 1);
    EXPECT_LT(*comparison.a.summary.maxMs, 30.0);
}

TEST(SettingComparison, HandCorrectionsCount)
{
    Campaign campaign = nearAndFar();
    session::PressCorrection correction;
    correction.press = 0;
    correction.choice = session::HandChoice {false, "a reflection"};
    campaign.session().clips[0].corrections = {correction};
    EXPECT_EQ(campaign.compared().a.summary.n, 11);
}

TEST(SettingComparison, RigDoubtEntersWhereRigsDiffer)
{
    Campaign campaign = nearAndFar();
    EXPECT_EQ(campaign.compared().fair.rigVarianceMs2, 0.0);
    session::ClipMeasurement changed = campaign.measurement(3);
    changed.options.zeroMs = 0.5;
    campaign.measure(3, changed);
    const SettingComparison comparison = campaign.compared();
    EXPECT_TRUE(comparison.fair.rigsDiffer);
    EXPECT_NEAR(comparison.fair.rigVarianceMs2, 2.0 * 0.3 * 0.3, 1e-9);
    EXPECT_THAT(words(comparison.sentences),
        HasSubstr("Not alike: the zero correction, A none, B 0.5 ms; none."));
}

TEST(SettingComparison, OutliersAreNamed)
{
    Campaign campaign = nearAndFar();
    session::ClipMeasurement changed = campaign.measurement(1);
    changed.presses[2].latency = latencyFromMs(120.0);
    campaign.measure(1, changed);
    const SettingComparison comparison = campaign.compared();
    EXPECT_EQ(comparison.a.summary.n, 12);
    EXPECT_THAT(words(comparison.sentences), HasSubstr("2.mp4 press 3 (120.0 ms)"));
    const Json json = comparisonJson(comparison);
    EXPECT_EQ(json["a"]["summary"]["outliers"][0]["index"], 2);
    EXPECT_EQ(json["a"]["summary"]["outliers"][0]["run"], "run 2");
}

TEST(SettingComparison, RunThatLostHalfItsAnswersHasNoShift)
{
    Campaign campaign = nearAndFar();
    session::ClipMeasurement changed = campaign.measurement(0);
    for (const std::size_t press : {0U, 1U, 2U}) {
        changed.presses[press].latency.reset();
        changed.presses[press].flags = {Flag::NoResponse};
    }
    campaign.measure(0, changed);
    const SettingComparison comparison = campaign.compared();
    EXPECT_EQ(comparison.a.summary.noResponse, 3);
    EXPECT_EQ(comparison.byRuns.shift.byRuns.verdict, stats::Verdict::Undecided);
    EXPECT_EQ(comparisonJson(comparison)["shift"]["estimate_ms"], nullptr);
    EXPECT_THAT(words(comparison.sentences), HasSubstr("lost half of their answers or more"));
}

TEST(SettingComparison, WhatIsHeldBackIsSaid)
{
    // The shift alone is told at 5 %, and not as one of two questions.
    for (int step = 0; step < 200; ++step) {
        const double centre = 23.0 + 0.1 * step;
        const auto run = [](double at) {
            return std::vector<double> {at - 2, at - 1, at + 1, at + 2};
        };
        const Campaign campaign(
            {run(20), run(22), run(24)}, {run(centre - 2.0), run(centre), run(centre + 2.0)});
        const SettingComparison comparison = campaign.compared();
        if (!comparison.byRuns.shift.heldBack) {
            continue;
        }
        EXPECT_THAT(words(comparison.sentences),
            HasSubstr("Asked alone, this last figure would be decided; with 2 questions"));
        EXPECT_EQ(comparisonJson(comparison)["shift"]["held_back"], true);
        return;
    }
    FAIL() << "nothing was held back";
}

TEST(SettingComparison, SaysTheSameTwice)
{
    const Campaign campaign = nearAndFar();
    EXPECT_EQ(comparisonJson(campaign.compared()), comparisonJson(campaign.compared()));
}

TEST(ComparisonSentences, EveryIdHasItsWords)
{
    Campaign campaign = nearAndFar();
    campaign.session().lateLimit = latencyFromMs(30.0);
    campaign.session().settings[0].conditions.bitRateMbit = 9.5;
    campaign.session().settings[1].conditions.antenna = "patch";
    ComparisonOptions options;
    options.marginMs = 4.0;
    for (const Sentence& sentence : campaign.compared(options).sentences) {
        EXPECT_NE(english(sentence), sentence.id);
        EXPECT_THAT(english(sentence), Not(HasSubstr("{"))) << sentence.id;
        EXPECT_TRUE(english(sentence).ends_with(".")) << english(sentence);
    }
}

TEST(PValueText, SaysNoMoreThanItKnows)
{
    EXPECT_EQ(pValueText(0.0312), "0.031");
    EXPECT_EQ(pValueText(1e-9), "< 0.001");
}

TEST(SettingComparison, StopEndsItAtEveryStep)
{
    Campaign campaign(
        {{20.0, 21.5, 22.0, 23.0}, {20.5, 22.0, 21.0, 24.0}, {21.0, 22.5, 23.0, 20.0}},
        {{30.0, 31.5, 32.0, 33.0}, {30.5, 32.0, 31.0, 34.0}, {31.0, 32.5, 33.0, 30.0}});
    constexpr int steps = 5;
    for (int last = 1; last <= steps; ++last) {
        std::stop_source stop;
        int seen = 0;
        const auto ask = [&](std::int64_t, std::int64_t total) {
            EXPECT_EQ(total, steps);
            return ++seen == last && stop.request_stop();
        };
        EXPECT_TRUE(settingComparison(campaign.session(), {{1}, {2}}, {}, {stop.get_token(), ask})
                        .isCancelled());
        EXPECT_EQ(seen, last) << "goes on after the stop";
    }
}

} // namespace
} // namespace twinlamp::report
