// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/reckon_command.h"
#include "tests/app/outcome.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace twinlamp::commands {

namespace {

using testing::HasSubstr;
using Json = nlohmann::json;

template<typename Question> tests::Outcome reckoned(const Question& question, bool json = false)
{
    ReckonArguments arguments;
    arguments.question = question;
    arguments.jsonFile = json ? "-" : "";
    return tests::outcomeOf(runReckon, arguments, {});
}

template<typename Question> Json jsonOf(const Question& question)
{
    const tests::Outcome outcome = reckoned(question, true);
    EXPECT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
    return Json::parse(outcome.out);
}

TEST(ReckonCommand, LateClaim)
{
    // 59 presses: Wilks; 1 - 0.95^59.
    const Json json = jsonOf(stats::LateClaim {0.05, 0.95, 0});
    EXPECT_EQ(json["presses"], 59);
    EXPECT_NEAR(json["reached"].get<double>(), 0.951505474751, 1e-11);
    EXPECT_GE(json["assumptions"].size(), 3U);
    const tests::Outcome words = reckoned(stats::LateClaim {0.05, 0.95, 0});
    EXPECT_THAT(words.out, HasSubstr("presses: 59\nconfidence reached: 95.15 %\n"));
    EXPECT_THAT(words.out, HasSubstr("3 runs or more"));
}

TEST(ReckonCommand, OtherClaims)
{
    EXPECT_EQ(jsonOf(stats::LimitsClaim {0.95, 0.95, 2})["presses"], 93);
    EXPECT_EQ(jsonOf(stats::WidthClaim {8.0, 1.0, 0.95, stats::Centre::Mean})["presses"], 249);
    const Json difference = jsonOf(stats::DifferenceClaim {8.0, 4.0, 0.8, 0.95});
    EXPECT_EQ(difference["presses"], 64);
    EXPECT_GE(difference["reached"].get<double>(), 0.8);
    EXPECT_THAT(reckoned(stats::DifferenceClaim {8.0, 4.0, 0.8, 0.95}).out, HasSubstr("power"));
}

TEST(ReckonCommand, LinkSetting)
{
    LinkQuestion question;
    question.model.bitRateMbit = 12.0;
    question.model.frameRateHz = 100.0;
    question.model.airRateMbit = 60.0;
    question.model.loss = 0.1;
    question.model.roundTripMs = 3.0;
    question.model.allowanceMs = 6.0;
    question.simulation.presses = 5000;
    const Json json = jsonOf(question);
    EXPECT_EQ(json["bits_per_frame"], 120000.0);
    EXPECT_NEAR(json["send_ms"].get<double>(), 2.0, 1e-12);
    EXPECT_NEAR(json["slack_ms"].get<double>(), 8.0, 1e-12);
    EXPECT_EQ(json["repeats_in_allowance"], 2);
    EXPECT_NEAR(json["late_share"].get<double>(), 1.0 - 0.990044880, 5e-10);
    EXPECT_NEAR(json["latency"]["mean_ms"].get<double>(),
        json["simulated"]["latency"]["mean_ms"].get<double>(), 0.3);
    EXPECT_EQ(json["bits_per_pixel"], nullptr);
    EXPECT_THAT(json["assumptions"].back().get<std::string>(), HasSubstr("radio rules"));
    const tests::Outcome words = reckoned(question);
    EXPECT_THAT(words.out, HasSubstr("repeats that fit: 2"));
    EXPECT_THAT(words.out, HasSubstr("latency, ms  closed form  simulated\nmean"));
}

TEST(ReckonCommand, LossFromARadioPath)
{
    LinkQuestion question;
    question.model.bitRateMbit = 12.0;
    question.model.frameRateHz = 60.0;
    question.model.channelWidthMhz = 20.0;
    question.powerMw = 200.0;
    question.radio.path = {5843.0, 0.5};
    question.simulation.presses = 500;
    const Json near = jsonOf(question);
    question.model.channelWidthMhz = 40.0;
    const Json wide = jsonOf(question);
    // Twice the width: twice the noise, and half the time on the air.
    EXPECT_NEAR(near["radio"]["margin_db"].get<double>() - 3.0103,
        wide["radio"]["margin_db"].get<double>(), 1e-4);
    EXPECT_NEAR(near["send_ms"].get<double>(), 2.0 * wide["send_ms"].get<double>(), 1e-12);
    EXPECT_GT(wide["radio"]["loss"], near["radio"]["loss"]);
    question.radio.path.distanceKm = 4000.0; // nothing arrives
    EXPECT_EQ(jsonOf(question)["latency"], nullptr);
    EXPECT_THAT(reckoned(question).out, HasSubstr("nothing in the way"));
}

TEST(ReckonCommand, LinkThatCannotKeepUpHasNoLatency)
{
    LinkQuestion question;
    question.model.bitRateMbit = 60.0;
    question.model.frameRateHz = 60.0;
    question.model.airRateMbit = 50.0;
    const Json json = jsonOf(question);
    EXPECT_EQ(json["latency"], nullptr);
    EXPECT_EQ(json["late_share"], 1.0);
    EXPECT_THAT(reckoned(question).out, HasSubstr("falls behind"));
}

TEST(ReckonCommand, ValuesOutOfBoundsAreRefusedInOneLine)
{
    const tests::Outcome outcome = reckoned(stats::LateClaim {1e-9, 0.95, 0});
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_EQ(outcome.out, "");
    EXPECT_THAT(outcome.err, HasSubstr("10000000 presses"));
    EXPECT_EQ(reckoned(LinkQuestion {}).status, ExitStatus::WrongWords);
}

TEST(ReckonCommand, FileThatCannotBeWritten)
{
    ReckonArguments arguments;
    arguments.question = stats::LateClaim {};
    arguments.jsonFile = "/no/such/folder/a.json";
    EXPECT_EQ(tests::outcomeOf(runReckon, arguments, {}).status, ExitStatus::NotWritten);
}

} // namespace

} // namespace twinlamp::commands
