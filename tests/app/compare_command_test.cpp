// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/compare_command.h"
#include "core/session/store/session_file.h"
#include "core/stats/proportion.h"
#include "tests/app/bench_session.h"
#include "tests/app/outcome.h"
#include "tests/support/temporary_folder.h"

#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace twinlamp::commands {

namespace {

using stats::simulated::Link;
using testing::HasSubstr;
using testing::Not;
using tests::BenchSetting;
using Json = nlohmann::json;

const Link freeClocks {"Free", 60.0, 100.0, 7.3e-3, 15.0, 0.3};
const Link lockedClocks {"Locked", 60.0, 120.0, 0.0, 15.0, 0.3};

Link slower(Link link, double ms)
{
    link.travelMs += ms;
    return link;
}

class CompareCommand : public testing::Test
{
protected:
    void file(const std::vector<BenchSetting>& settings, std::uint64_t seed = 7,
        std::optional<double> lateLimitMs = {}) const
    {
        tests::fileCampaign(session(), settings, seed, lateLimitMs);
    }

    [[nodiscard]] std::filesystem::path session() const { return m_folder / "bench.twinlamp"; }

    [[nodiscard]] CompareArguments narrowAndWide() const
    {
        CompareArguments arguments;
        arguments.session = session();
        arguments.a = "narrow";
        arguments.b = "wide";
        return arguments;
    }

    [[nodiscard]] static tests::Outcome run(const CompareArguments& arguments)
    {
        return tests::outcomeOf(runCompare, arguments, {});
    }

    [[nodiscard]] static Json jsonOf(CompareArguments arguments)
    {
        arguments.jsonFile = "-";
        const tests::Outcome outcome = run(arguments);
        EXPECT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
        return Json::parse(outcome.out);
    }

    [[nodiscard]] static std::string sentencesOf(const Json& json)
    {
        std::string text;
        for (const auto& sentence : json["sentences"]) {
            text += sentence.get<std::string>() + "\n";
        }
        return text;
    }

    tests::TemporaryFolder m_folder {tests::memoryFolder()};
};

TEST_F(CompareCommand, TellsWhatIsFaster)
{
    file({{"narrow", freeClocks}, {"wide", slower(freeClocks, 9.0)}});
    const Json json = jsonOf(narrowAndWide());
    EXPECT_EQ(json["a"]["setting"], "narrow");
    EXPECT_EQ(json["a"]["runs"], 5);
    EXPECT_EQ(json["b"]["setting"], "wide");
    EXPECT_EQ(json["a"]["summary"]["n"], 100);
    EXPECT_EQ(json["shift"]["verdict"], "a-faster");
    EXPECT_LT(json["shift"]["low_ms"].get<double>(), 9.0);
    EXPECT_GT(json["shift"]["high_ms"].get<double>(), 9.0);
    EXPECT_NEAR(json["shift"]["estimate_ms"].get<double>(), 9.0, 3.0);
    EXPECT_LT(json["shift"]["p_value"].get<double>(), 0.05);
    EXPECT_EQ(json["presses_needed"]["shift"], nullptr);
    EXPECT_EQ(json["spread"]["verdict"], "undecided");
    EXPECT_NEAR(json["spread"]["ratio"].get<double>(), 1.0, 0.5);
    EXPECT_GT(json["presses_needed"]["spread"], 0);
    EXPECT_EQ(json["late"], nullptr);
    EXPECT_EQ(json["presses_needed"]["late"], nullptr);
    EXPECT_EQ(json["questions"], 2);
    EXPECT_THAT(sentencesOf(json), HasSubstr("A is faster: B less A is "));
    EXPECT_THAT(sentencesOf(json), HasSubstr("Holm"));
}

TEST_F(CompareCommand, SignTurnsRoundWithTheSettings)
{
    file({{"narrow", freeClocks}, {"wide", slower(freeClocks, 9.0)}});
    const Json json = jsonOf(narrowAndWide());
    CompareArguments other = narrowAndWide();
    std::swap(other.a, other.b);
    const Json turned = jsonOf(other);
    EXPECT_EQ(turned["shift"]["verdict"], "b-faster");
    EXPECT_NEAR(turned["shift"]["estimate_ms"].get<double>(),
        -json["shift"]["estimate_ms"].get<double>(), 1e-9);
    EXPECT_NEAR(
        turned["spread"]["ratio"].get<double>(), 1.0 / json["spread"]["ratio"].get<double>(), 1e-9);
    EXPECT_NEAR(turned["as_if_presses_were_independent"]["shift"]["estimate_ms"].get<double>(),
        -json["as_if_presses_were_independent"]["shift"]["estimate_ms"].get<double>(), 1e-9);
}

TEST_F(CompareCommand, EveryAgreedKeyIsThere)
{
    file({{"narrow", freeClocks}, {"wide", freeClocks}});
    CompareArguments arguments = narrowAndWide();
    arguments.lateLimitMs = 35.0;
    const Json json = jsonOf(arguments);
    for (const char* key : {"a", "b", "shift", "spread", "late", "sentences", "presses_needed"}) {
        EXPECT_TRUE(json.contains(key)) << key;
    }
    for (const char* key : {"estimate_ms", "low_ms", "high_ms", "p_value", "verdict"}) {
        EXPECT_TRUE(json["shift"].contains(key)) << key;
    }
    for (const char* key : {"ratio", "low", "high", "p_value", "verdict"}) {
        EXPECT_TRUE(json["spread"].contains(key)) << key;
    }
    for (const char* key : {"limit_ms", "a", "b", "difference", "low", "high", "verdict"}) {
        EXPECT_TRUE(json["late"].contains(key)) << key;
    }
    for (const char* key : {"n", "median_ms", "median_low_ms", "median_high_ms", "mean_ms", "sd_ms",
             "link_spread_ms", "link_spread_low_ms", "link_spread_high_ms", "p5_ms", "p95_ms",
             "max_ms", "no_response", "late", "late_share", "late_low", "late_high"}) {
        EXPECT_TRUE(json["a"]["summary"].contains(key)) << key;
    }
    for (const char* key : {"shift", "spread", "late"}) {
        EXPECT_TRUE(json["presses_needed"].contains(key)) << key;
    }
}

TEST_F(CompareCommand, LostAnswersAreLate)
{
    BenchSetting lossy {"wide", freeClocks};
    lossy.lost = 6;
    file({{"narrow", freeClocks}, lossy});
    CompareArguments arguments = narrowAndWide();
    arguments.lateLimitMs = 100.0;
    const Json json = jsonOf(arguments);
    EXPECT_EQ(json["late"]["limit_ms"], 100.0);
    EXPECT_EQ(json["late"]["a"], 0.0);
    EXPECT_NEAR(json["late"]["b"].get<double>(), 0.3, 1e-12);
    EXPECT_NEAR(json["late"]["difference"].get<double>(), 0.3, 1e-12);
    EXPECT_EQ(json["late"]["verdict"], "a-less-late");
    EXPECT_EQ(json["b"]["summary"]["no_response"], 30);
    EXPECT_NEAR(
        json["late"]["a_could_have_missed"].get<double>(), stats::largestMissedShare(100), 1e-12);
    EXPECT_THAT(sentencesOf(json),
        HasSubstr("A: none of 100 presses late or lost; so many presses can miss a late share of "
                  "up to 3.0 % altogether"));
    EXPECT_THAT(sentencesOf(json), HasSubstr("B: 30 of 100 presses late or lost, 30.0 %"));
    // The median counts them too: 6 of 20 lost lift it.
    EXPECT_GT(json["shift"]["estimate_ms"], 0.0);
}

TEST_F(CompareCommand, TheSessionsLateLimitServesWhereNoneIsTyped)
{
    file({{"narrow", freeClocks}, {"wide", freeClocks}}, 7, 31.5);
    EXPECT_EQ(jsonOf(narrowAndWide())["late"]["limit_ms"], 31.5);
    CompareArguments arguments = narrowAndWide();
    arguments.lateLimitMs = 40.0;
    EXPECT_EQ(jsonOf(arguments)["late"]["limit_ms"], 40.0);
}

TEST_F(CompareCommand, FewRunsAreUndecidedAndAskForARestart)
{
    BenchSetting twoRuns {"narrow", freeClocks};
    twoRuns.runs = 2;
    twoRuns.presses = 60;
    file({twoRuns, {"wide", slower(freeClocks, 30.0)}});
    CompareArguments arguments = narrowAndWide();
    arguments.lateLimitMs = 40.0;
    arguments.marginMs = 1.0;
    const Json json = jsonOf(arguments);
    for (const char* figure : {"shift", "spread", "late"}) {
        EXPECT_EQ(json[figure]["verdict"], "undecided") << figure;
        EXPECT_EQ(json["presses_needed"][figure], nullptr) << figure;
    }
    EXPECT_EQ(json["shift"]["low_ms"], nullptr);
    EXPECT_EQ(json["shift"]["p_value"], nullptr);
    EXPECT_THAT(sentencesOf(json), HasSubstr("Restart the link and film again"));
    // Beside it, named so.
    const Json& beside = json["as_if_presses_were_independent"];
    EXPECT_GT(beside["shift"]["low_ms"], 20.0);
    EXPECT_LT(beside["shift"]["p_value"], 0.001);
    EXPECT_NEAR(beside["late"]["difference"].get<double>(),
        json["b"]["summary"]["late_share"].get<double>()
            - json["a"]["summary"]["late_share"].get<double>(),
        1e-12);
    EXPECT_THAT(run(arguments).out, HasSubstr("as if presses were independent:"));
}

TEST_F(CompareCommand, SettingsWithoutPressesHaveNoFigures)
{
    BenchSetting empty {"narrow", freeClocks};
    empty.runs = 0;
    file({empty, {"wide", freeClocks}});
    CompareArguments arguments = narrowAndWide();
    arguments.lateLimitMs = 40.0;
    const Json json = jsonOf(arguments);
    EXPECT_EQ(json["a"]["runs"], 0);
    EXPECT_EQ(json["a"]["summary"]["median_ms"], nullptr);
    EXPECT_EQ(json["shift"]["estimate_ms"], nullptr);
    EXPECT_EQ(json["spread"]["ratio"], nullptr);
    EXPECT_EQ(json["late"]["difference"], nullptr);
    EXPECT_EQ(json["as_if_presses_were_independent"]["shift"]["estimate_ms"], nullptr);
    EXPECT_EQ(run(arguments).status, ExitStatus::Done);
}

TEST_F(CompareCommand, LockedClocksAreNotTakenForADifference)
{
    // The same setting twice: presses of one run share an offset, so that as independent ones they
    // tell settings apart that are the same.
    int told = 0;
    int toldAsIndependent = 0;
    constexpr std::uint64_t campaigns = 30;
    for (std::uint64_t seed = 0; seed < campaigns; ++seed) {
        BenchSetting narrow {"narrow", lockedClocks};
        narrow.runs = 3;
        BenchSetting wide = narrow;
        wide.name = "wide";
        std::filesystem::remove(session());
        file({narrow, wide}, 100 + seed);
        CompareArguments arguments = narrowAndWide();
        arguments.lateLimitMs = 34.0;
        const Json json = jsonOf(arguments);
        const bool isTold = json["shift"]["verdict"] != "undecided"
            || json["spread"]["verdict"] != "undecided" || json["late"]["verdict"] != "undecided";
        told += isTold ? 1 : 0;
        toldAsIndependent
            += json["as_if_presses_were_independent"]["shift"]["p_value"] < 0.05 ? 1 : 0;
    }
    EXPECT_LE(told, 4); // 5 % of 30, and two counting errors
    EXPECT_GT(toldAsIndependent, told);
}

TEST_F(CompareCommand, MarginAddsSameWithin)
{
    file({{"narrow", freeClocks, 8}, {"wide", freeClocks, 8}});
    CompareArguments arguments = narrowAndWide();
    EXPECT_EQ(jsonOf(arguments)["shift"]["verdict"], "undecided");
    arguments.marginMs = 12.0;
    const Json json = jsonOf(arguments);
    EXPECT_EQ(json["shift"]["verdict"], "same-within");
    EXPECT_EQ(json["questions"], 3);
    EXPECT_THAT(sentencesOf(json), HasSubstr("A and B are the same within 12 ms"));
}

TEST_F(CompareCommand, FullFrameIsAnotherFigure)
{
    file({{"narrow", freeClocks}, {"wide", slower(freeClocks, 9.0)}});
    CompareArguments arguments = narrowAndWide();
    const Json first = jsonOf(arguments);
    arguments.of = stats::Figure::FullFrame;
    const Json full = jsonOf(arguments);
    EXPECT_EQ(first["of"], "first-light");
    EXPECT_EQ(full["of"], "full-frame");
    EXPECT_NEAR(full["a"]["summary"]["median_ms"].get<double>(),
        first["a"]["summary"]["median_ms"].get<double>() + 8.0, 1e-6);
    EXPECT_THAT(run(arguments).out, HasSubstr("Full frame of the on edges"));
}

TEST_F(CompareCommand, FairTestNamesWhatDiffers)
{
    BenchSetting narrow {"narrow", freeClocks};
    narrow.rig = "tripod one";
    narrow.conditions.bitRateMbit = 12.0;
    narrow.conditions.linkFrameRate = FrameRate {60, 1};
    narrow.conditions.lampPlace = "middle";
    BenchSetting wide = narrow;
    wide.name = "wide";
    const auto fairSentences = [this](const BenchSetting& a, const BenchSetting& b) {
        std::filesystem::remove(session());
        file({a, b});
        return jsonOf(narrowAndWide());
    };
    const Json alike = fairSentences(narrow, wide);
    EXPECT_THAT(sentencesOf(alike), HasSubstr("Fair test: rig, capture rate"));
    EXPECT_THAT(sentencesOf(alike), HasSubstr("No condition that the session keeps differs"));
    EXPECT_THAT(sentencesOf(alike), HasSubstr("A: no clip's presses fell in step"));
    EXPECT_FALSE(alike["fair_test"]["rigs_differ"]);
    wide.rig = "tripod two";
    wide.zeroMs = 0.25;
    wide.commonMs = 3.0;
    wide.conditions.bitRateMbit = 24.0;
    wide.conditions.channelWidthMhz = 40.0;
    wide.conditions.lampPlace = "top left";
    wide.everyMs = 50.0 * 1000.0 / 60.0;
    const Json unlike = fairSentences(narrow, wide);
    const std::string words = sentencesOf(unlike);
    EXPECT_THAT(words, HasSubstr("Not alike: the rig, A tripod one, B tripod two."));
    EXPECT_THAT(words, HasSubstr("Not alike: the zero correction, A none, B 0.25 ms."));
    EXPECT_THAT(words, HasSubstr("the lamp's place on the panel"));
    EXPECT_THAT(words, HasSubstr("Bit rate: A 12 Mbit/s, B 24 Mbit/s."));
    EXPECT_THAT(words, HasSubstr("Channel width: A not told, B 40 MHz."));
    EXPECT_THAT(words, HasSubstr("Conditions that differ: 2."));
    EXPECT_THAT(words, HasSubstr("fell in step with the link's frame of 16.67 ms"));
    EXPECT_THAT(words, Not(HasSubstr("Fair test: rig, capture rate")));
    EXPECT_TRUE(unlike["fair_test"]["rigs_differ"]);
    // 3 ms of B's and 0.02 ms of A's enter the shift: the interval is no narrower than 2 * 1.96 *
    // that.
    EXPECT_NEAR(unlike["fair_test"]["rig_doubt_ms2"].get<double>(), 9.0004, 1e-9);
    EXPECT_GT(unlike["shift"]["high_ms"].get<double>() - unlike["shift"]["low_ms"].get<double>(),
        2.0 * 1.96 * 3.0);
}

TEST_F(CompareCommand, WithoutALinkFrameRateThePhaseIsNotTold)
{
    file({{"narrow", freeClocks}, {"wide", freeClocks}});
    const std::string words = sentencesOf(jsonOf(narrowAndWide()));
    EXPECT_THAT(words, HasSubstr("give the link camera's frame rate"));
    EXPECT_THAT(words, HasSubstr("A: clips that name no rig: 5."));
}

TEST_F(CompareCommand, UnknownSettingNamesThoseThatExist)
{
    file({{"narrow", freeClocks}, {"wide", freeClocks}});
    CompareArguments arguments = narrowAndWide();
    arguments.b = "broad";
    const tests::Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_THAT(outcome.err,
        HasSubstr("bench.twinlamp has no link setting 'broad'; it has 'narrow', 'wide'"));
    EXPECT_EQ(outcome.out, "");
    arguments.b = "narrow";
    EXPECT_EQ(run(arguments).status, ExitStatus::WrongWords);
}

TEST_F(CompareCommand, SessionThatCannotBeRead)
{
    const tests::Outcome missing = run(narrowAndWide());
    EXPECT_EQ(missing.status, ExitStatus::Unreadable);
    EXPECT_THAT(missing.err, HasSubstr("bench.twinlamp"));
    std::ofstream(session()) << "no session at all\n";
    EXPECT_EQ(run(narrowAndWide()).status, ExitStatus::Unreadable);
}

TEST_F(CompareCommand, ReadsASessionThatAWindowHasOpen)
{
    file({{"narrow", freeClocks}, {"wide", slower(freeClocks, 9.0)}});
    const auto window
        = session::store::SessionFile::open(session(), {session::store::OpenMode::Write, {}, {}});
    ASSERT_TRUE(window);
    EXPECT_EQ(jsonOf(narrowAndWide())["shift"]["verdict"], "a-faster");
}

TEST_F(CompareCommand, TableSaysTheSame)
{
    file({{"narrow", freeClocks}, {"wide", slower(freeClocks, 9.0)}});
    const tests::Outcome outcome = run(narrowAndWide());
    EXPECT_EQ(outcome.status, ExitStatus::Done);
    EXPECT_THAT(outcome.out, HasSubstr("First light of the on edges"));
    EXPECT_THAT(outcome.out, HasSubstr("a-faster"));
    EXPECT_THAT(outcome.out, HasSubstr("- A is faster: B less A is "));
    EXPECT_THAT(outcome.out, HasSubstr("Runs are the blocks"));
}

TEST_F(CompareCommand, MoreThanTwoSettingsAreRanked)
{
    file({{"narrow", slower(freeClocks, 9.0)}, {"wide", freeClocks}, {"far", lockedClocks}});
    CompareArguments arguments = narrowAndWide();
    arguments.others = {"far"};
    const Json json = jsonOf(arguments);
    EXPECT_EQ(json["pairs"].size(), 3U);
    EXPECT_EQ(json["settings"].back()["setting"], "narrow");
    EXPECT_EQ(json["pairs"][0]["verdict"], "b-faster");
    EXPECT_THAT(sentencesOf(json), HasSubstr("adjusted by Holm"));
    EXPECT_THAT(run(arguments).out, HasSubstr("- Fastest first"));
    arguments.others = {"far", "narrow"};
    EXPECT_EQ(run(arguments).status, ExitStatus::WrongWords);
}

TEST_F(CompareCommand, AllTakesEverySettingOfTheSession)
{
    file({{"narrow", freeClocks}, {"wide", slower(freeClocks, 9.0)}, {"far", freeClocks}});
    CompareArguments arguments;
    arguments.session = session();
    arguments.all = true;
    const Json json = jsonOf(arguments);
    EXPECT_EQ(json["settings"].size(), 3U);
    EXPECT_EQ(json["pairs"].size(), 3U);
}

TEST_F(CompareCommand, AllOfTwoSettingsIsAComparisonAndOfOneARefusal)
{
    file({{"narrow", freeClocks}, {"wide", slower(freeClocks, 9.0)}});
    CompareArguments arguments;
    arguments.session = session();
    arguments.all = true;
    EXPECT_EQ(jsonOf(arguments)["b"]["setting"], "wide");

    arguments.session = m_folder / "one.twinlamp";
    tests::fileCampaign(arguments.session, {{"narrow", freeClocks}}, 7);
    const tests::Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_THAT(outcome.err, HasSubstr("one link setting; a comparison needs two"));
}

TEST_F(CompareCommand, StopEndsItWithTheUsualSentence)
{
    file({{"narrow", freeClocks}, {"wide", slower(freeClocks, 9.0)}, {"far", freeClocks}});
    std::stop_source stop;
    stop.request_stop();
    CompareArguments arguments = narrowAndWide();
    for (const bool ranks : {false, true}) {
        arguments.others = ranks ? std::vector<std::string> {"far"} : std::vector<std::string>();
        arguments.jsonFile = (m_folder / "out.json").string();
        const tests::Outcome outcome = tests::outcomeOf(runCompare, arguments, stop.get_token());
        EXPECT_EQ(outcome.status, ExitStatus::Stopped);
        EXPECT_EQ(outcome.err, "twinlamp: stopped; no result was written\n");
        EXPECT_FALSE(std::filesystem::exists(m_folder / "out.json"));
    }
}

TEST_F(CompareCommand, FileThatCannotBeWritten)
{
    file({{"narrow", freeClocks}, {"wide", freeClocks}});
    CompareArguments arguments = narrowAndWide();
    arguments.jsonFile = "/no/such/folder/a.json";
    EXPECT_EQ(run(arguments).status, ExitStatus::NotWritten);
}

} // namespace

} // namespace twinlamp::commands
