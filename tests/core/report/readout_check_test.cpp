// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/readout_check.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <random>

namespace twinlamp::report {
namespace {

using session::Session;
using testing::Contains;
using testing::HasSubstr;
using testing::Not;

/// Sessions of one setting, a clip a run; what the goggle displays is told by a function of run,
/// press and latency.
class ReadoutCheckTest : public testing::Test
{
protected:
    ReadoutCheckTest() { m_session.settings = {{session::SettingId {1}, 0, "narrow", {}}}; }

    template<typename Display> void addRuns(int runs, int presses, const Display& display)
    {
        for (int number = 1; number <= runs; ++number) {
            const auto id = static_cast<std::int64_t>(m_session.runs.size()) + 1;
            m_session.runs.push_back({session::RunId {id}, id, m_session.settings.back().id,
                "run " + std::to_string(number), ""});
            session::Clip clip;
            clip.id = session::ClipId {id};
            clip.place = id;
            clip.run = session::RunId {id};
            clip.file.relativePath = "clip " + std::to_string(id) + ".mp4";
            session::ClipMeasurement measurement;
            measurement.clip.captureRate = {480, 1};
            for (int index = 0; index < presses; ++index) {
                measurement.presses.push_back(press(index));
                const double latencyMs = toMs(*measurement.presses.back().latency);
                clip.readouts.push_back({index, display(number, index, latencyMs)});
            }
            clip.measurement = measurement;
            m_session.clips.push_back(std::move(clip));
        }
    }

    Press press(int index)
    {
        Press made;
        made.index = index;
        made.reference = realTimeFromMs(300.0 + 500.0 * index);
        made.latency = latencyFromMs(std::uniform_real_distribution<double>(20.0, 40.0)(m_random));
        made.firstLight = *made.reference + *made.latency;
        return made;
    }

    [[nodiscard]] double noise(double sd)
    {
        return std::normal_distribution<double>(0.0, sd)(m_random);
    }

    [[nodiscard]] static std::vector<std::string> sentencesOf(const ReadoutCheck& check)
    {
        std::vector<std::string> sentences;
        for (const Sentence& sentence : check.sentences) {
            sentences.push_back(english(sentence));
            EXPECT_NE(sentences.back(), sentence.id) << "an id without words";
        }
        return sentences;
    }

    Session m_session;
    std::mt19937_64 m_random {3};
};

TEST_F(ReadoutCheckTest, ConstantOffsetIsFoundWithItsLimits)
{
    addRuns(5, 12, [this](int /*run*/, int /*press*/, double ms) { return ms - 6.0 + noise(1.0); });
    const ReadoutCheck check = readoutCheck(m_session);
    ASSERT_TRUE(check.agreement);
    EXPECT_EQ(check.pairs.size(), 60U);
    EXPECT_EQ(check.runs, 5U);
    EXPECT_EQ(check.verdict, ReadoutVerdict::ReadsLess);
    // Four standard errors of a mean of 60 values of SD 1, and of a limit: sqrt(3 / 60).
    EXPECT_NEAR(check.agreement->bias.value, -6.0, 4.0 / std::sqrt(60.0));
    EXPECT_NEAR(check.agreement->lowerLimit.value, -7.96, 4.0 * std::sqrt(3.0 / 60.0));
    EXPECT_NEAR(check.agreement->upperLimit.value, -4.04, 4.0 * std::sqrt(3.0 / 60.0));
    EXPECT_THAT(sentencesOf(check), Contains(HasSubstr("ms less than measured on average")));
    EXPECT_THAT(sentencesOf(check), Contains(HasSubstr("is not shown to change with the latency")));
}

TEST_F(ReadoutCheckTest, OffsetThatGrowsWithTheLatencyIsTold)
{
    addRuns(5, 12, [this](int /*run*/, int /*press*/, double ms) { return 0.5 * ms + noise(0.5); });
    const ReadoutCheck check = readoutCheck(m_session);
    ASSERT_TRUE(check.agreement->proportionalBias && check.byRuns->proportionalBias);
    // d = -x/2 over m = 3x/4: -2/3 without noise.
    EXPECT_NEAR(check.agreement->proportionalBias->value, -2.0 / 3.0, 0.1);
    EXPECT_LT(*check.agreement->proportionalPValue, 1e-6);
    EXPECT_NEAR(check.byRuns->proportionalBias->value, -2.0 / 3.0, 0.1);
    EXPECT_LT(*check.byRuns->proportionalPValue, 1e-4);
    EXPECT_THAT(sentencesOf(check), Contains(HasSubstr("offsets between runs are no part of it")));
    EXPECT_THAT(sentencesOf(check), Contains(HasSubstr("one number does not correct the readout")));
}

/// Each run has an offset of its own, none on average: presses as independent would tell one.
TEST_F(ReadoutCheckTest, RunsDecideAndNotPresses)
{
    int independent = 0;
    int byRuns = 0;
    constexpr int trials = 400;
    for (int trial = 0; trial < trials; ++trial) {
        m_session.runs.clear();
        m_session.clips.clear();
        std::vector<double> offsets;
        for (int run = 0; run < 4; ++run) {
            offsets.push_back(noise(3.0));
        }
        addRuns(4, 15, [&](int run, int /*press*/, double ms) {
            return ms + offsets[static_cast<std::size_t>(run) - 1] + noise(1.0);
        });
        const ReadoutCheck check = readoutCheck(m_session);
        byRuns += check.verdict != ReadoutVerdict::Undecided ? 1 : 0;
        const stats::Interval& interval = check.agreement->bias.interval;
        independent += *interval.low > 0.0 || *interval.high < 0.0 ? 1 : 0;
    }
    // 5 %: 20 of 400, and four standard deviations of that count.
    EXPECT_LT(byRuns, 20 + 4 * std::sqrt(400 * 0.05 * 0.95));
    EXPECT_GT(independent, trials / 2);
}

TEST_F(ReadoutCheckTest, LimitsOfRepeatedPairsHoldTheRunsOffsets)
{
    const std::vector<double> offsets {-4.0, 4.0, -2.0, 2.0};
    addRuns(4, 15, [&](int run, int /*press*/, double ms) {
        return ms + offsets[static_cast<std::size_t>(run) - 1] + noise(1.0);
    });
    const ReadoutCheck check = readoutCheck(m_session);
    ASSERT_TRUE(check.byRuns);
    // Offsets of variance 40 / 3; a mean of 15 differences adds 1 / 15 to it, which is taken off.
    EXPECT_NEAR(check.byRuns->betweenSd, std::sqrt(40.0 / 3.0), 0.5);
    EXPECT_NEAR(check.byRuns->withinSd, 1.0, 0.3);
    EXPECT_LT(check.byRuns->lowerLimit.value, check.agreement->lowerLimit.value);
    EXPECT_THAT(sentencesOf(check), Contains(HasSubstr("limits of agreement for repeated pairs")));
    EXPECT_THAT(sentencesOf(check), Not(Contains(HasSubstr("as if pairs were independent"))));
    const Json json = readoutCheckJson(check);
    EXPECT_NEAR(json["by_runs"]["within_sd_ms"].get<double>(), check.byRuns->withinSd, 1e-3);
    EXPECT_LT(json["by_runs"]["upper_limit"]["low_ms"], json["by_runs"]["upper_limit"]["high_ms"]);
    EXPECT_THAT(readoutCheckText(check), HasSubstr("upper limit of agreement, by runs"));
}

TEST_F(ReadoutCheckTest, OneRunSaysThatItsPairsAreTakenAsIndependent)
{
    addRuns(1, 12, [this](int /*run*/, int /*press*/, double ms) { return ms + noise(1.0); });
    const ReadoutCheck check = readoutCheck(m_session);
    EXPECT_FALSE(check.byRuns);
    EXPECT_TRUE(readoutCheckJson(check)["by_runs"].is_null());
    EXPECT_THAT(sentencesOf(check), Contains(HasSubstr("as if pairs were independent and")));
    EXPECT_THAT(sentencesOf(check), Contains(HasSubstr("three runs whose pairs differ")));
}

TEST_F(ReadoutCheckTest, FewRunsAreUndecidedAndAskForARestart)
{
    addRuns(2, 20, [](int /*run*/, int /*press*/, double ms) { return ms - 10.0; });
    const ReadoutCheck check = readoutCheck(m_session);
    EXPECT_EQ(check.verdict, ReadoutVerdict::Undecided);
    EXPECT_THAT(sentencesOf(check), Contains(HasSubstr("restart the link")));
}

TEST_F(ReadoutCheckTest, PressesThatDoNotCountAreLeftOutAndTold)
{
    addRuns(3, 4, [this](int /*run*/, int /*press*/, double ms) { return ms + noise(1.0); });
    session::ClipMeasurement measurement = *m_session.clips[0].measurement;
    measurement.presses[0].edge = Edge::Off;
    measurement.presses[1].latency.reset();
    m_session.clips[0].measurement = measurement;
    m_session.clips[0].corrections = {{2, {}, session::HandChoice {false, "hand shook"}}};
    const ReadoutCheck check = readoutCheck(m_session);
    EXPECT_EQ(check.pairs.size(), 9U);
    EXPECT_EQ(check.withoutPartner, 3);
    EXPECT_THAT(sentencesOf(check), Contains(HasSubstr("Readouts left out: 3")));
}

TEST_F(ReadoutCheckTest, SettingsGiveOnePairEachOfMedians)
{
    for (int number = 1; number <= 4; ++number) {
        if (number > 1) {
            m_session.settings.push_back(
                {session::SettingId {number}, number, "setting " + std::to_string(number), {}});
        }
        addRuns(2, 5, [](int /*run*/, int /*press*/, double ms) { return ms; });
        m_session.settings.back().readouts = {{18.0, ""}, {25.0, ""}, {19.0 + number, "menu"}};
    }
    m_session.settings.push_back({session::SettingId {9}, 9, "never measured", {}});
    m_session.settings.back().readouts = {{20.0, ""}};
    const ReadoutCheck check = readoutCheck(m_session, {PairsOf::Settings, {}});
    ASSERT_EQ(check.pairs.size(), 4U);
    EXPECT_EQ(check.pairs[0].pair.readout, 20.0) << "the middle of 18, 20 and 25";
    EXPECT_EQ(check.pairs[0].press, 0);
    EXPECT_EQ(check.withoutPartner, 1);
    EXPECT_EQ(check.runs, 4U);
    EXPECT_THAT(sentencesOf(check), Contains(HasSubstr("Link settings left out: 1")));
    const ReadoutCheck one = readoutCheck(m_session, {PairsOf::Settings, session::SettingId {2}});
    EXPECT_EQ(one.pairs.size(), 1U);
    EXPECT_FALSE(one.agreement);
    EXPECT_THAT(sentencesOf(one), Contains(HasSubstr("Two are needed at least")));
}

TEST_F(ReadoutCheckTest, JsonHasEveryFigureAndText)
{
    addRuns(4, 10, [this](int /*run*/, int /*press*/, double ms) { return ms + 5.0 + noise(1.0); });
    const ReadoutCheck check = readoutCheck(m_session);
    const Json json = readoutCheckJson(check);
    EXPECT_EQ(json["n"], 40);
    EXPECT_EQ(json["runs"], 4);
    EXPECT_EQ(json["verdict"], "reads-more");
    EXPECT_NEAR(json["bias"]["estimate_ms"].get<double>(), 5.0, 1.0);
    const Json& independent = json["as_if_pairs_were_independent"];
    EXPECT_LT(independent["lower_limit"]["low_ms"], independent["lower_limit"]["high_ms"]);
    EXPECT_TRUE(independent["proportional_bias"]["slope"].is_number());
    EXPECT_EQ(json["pairs"][0]["press"], 1);
    const std::string text = readoutCheckText(check);
    EXPECT_THAT(text, HasSubstr("lower limit of agreement"));
    EXPECT_THAT(text, HasSubstr("bias over runs"));
    EXPECT_TRUE(readoutCheckJson(readoutCheck(Session {}))["bias"].is_null());
    EXPECT_THAT(readoutCheckText(readoutCheck(Session {})), Not(HasSubstr("limit of")));
}

} // namespace
} // namespace twinlamp::report
