// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/session_command.h"
#include "core/session/store/file_result.h"
#include "tests/app/bench_session.h"
#include "tests/app/outcome.h"
#include "tests/support/temporary_folder.h"

#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace twinlamp::commands {

namespace {

namespace fs = std::filesystem;
namespace store = session::store;
using testing::HasSubstr;
using Json = nlohmann::json;

class SessionCommand : public testing::Test
{
protected:
    [[nodiscard]] fs::path campaign(
        const std::string& name, const std::string& setting, std::uint64_t seed) const
    {
        fs::path path = m_folder / name;
        tests::BenchSetting made {setting};
        made.rig = "tripod";
        tests::fileCampaign(path, {made}, seed);
        return path;
    }

    template<typename Task> static tests::Outcome run(const fs::path& session, const Task& task)
    {
        return tests::outcomeOf(runSession, SessionArguments {session, task, ""}, {});
    }

    template<typename Task>
    static Json jsonOf(
        const fs::path& session, const Task& task, ExitStatus status = ExitStatus::Done)
    {
        const auto outcome
            = tests::outcomeOf(runSession, SessionArguments {session, task, "-"}, {});
        EXPECT_EQ(outcome.status, status) << outcome.err;
        return Json::parse(outcome.out);
    }

    static session::Session contentOf(const fs::path& path)
    {
        return store::SessionFile::open(path, {store::OpenMode::ReadOnly, {}, {}})->session();
    }

    tests::TemporaryFolder m_folder {tests::memoryFolder()};
};

TEST_F(SessionCommand, ShowTellsWhatASessionHolds)
{
    const fs::path path = campaign("a.twinlamp", "narrow", 1);
    const Json json = jsonOf(path, ShowSession {});
    EXPECT_EQ(json["settings"][0]["setting"], "narrow");
    EXPECT_EQ(json["settings"][0]["runs"].size(), 5U);
    EXPECT_EQ(json["settings"][0]["runs"][0]["clips"][0]["presses"], 40);
    EXPECT_EQ(json["rigs"][0]["name"], "tripod");
    EXPECT_TRUE(json["rigs"][0]["checks"].empty());
    EXPECT_THAT(run(path, ShowSession {}).out, HasSubstr("narrow"));
}

TEST_F(SessionCommand, FiguresAreThoseOfASettingOrOfAll)
{
    const fs::path path = campaign("a.twinlamp", "narrow", 1);
    const Json json = jsonOf(path, ShowFigures {{"narrow"}, 30.0});
    ASSERT_EQ(json["settings"].size(), 1U);
    const Json& setting = json["settings"][0];
    EXPECT_EQ(setting["runs"], 5);
    EXPECT_EQ(setting["clips"].size(), 5U);
    EXPECT_FALSE(setting["centre_over_runs"]["low_ms"].is_null());
    EXPECT_EQ(setting["summary"]["late_limit_ms"], 30.0);
    EXPECT_THAT(run(path, ShowFigures {}).out, HasSubstr("centre over runs"));
    const auto wrong = run(path, ShowFigures {{"broad"}, {}});
    EXPECT_EQ(wrong.status, ExitStatus::WrongWords);
    EXPECT_THAT(wrong.err, HasSubstr("narrow"));
}

TEST_F(SessionCommand, MergeBringsOthersIn)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    const fs::path b = campaign("b.twinlamp", "wide", 2);
    const fs::path c = campaign("c.twinlamp", "far", 3);
    const Json json = jsonOf(a, MergeSessions {{b, c}});
    ASSERT_EQ(json["merged"].size(), 2U);
    EXPECT_EQ(json["merged"][1]["other"], "c.twinlamp");
    EXPECT_EQ(json["merged"][1]["brought_in"]["clips"], 5);
    EXPECT_EQ(json["merged"][1]["brought_in"]["rigs"], 0) << "one name, and no contradiction";
    EXPECT_EQ(contentOf(a).settings.size(), 3U);
    EXPECT_EQ(contentOf(a).rigs.size(), 1U);
    const Json again = jsonOf(a, MergeSessions {{b}});
    EXPECT_EQ(again["merged"][0]["changed"], false);
    EXPECT_THAT(m_folder.names(), testing::ElementsAre("a.twinlamp", "b.twinlamp", "c.twinlamp"));
}

TEST_F(SessionCommand, WrongNameAmongTheOthersStopsBeforeAnythingIsChanged)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    const fs::path b = campaign("b.twinlamp", "wide", 2);
    const auto outcome = run(a, MergeSessions {{b, m_folder / "nowhere.twinlamp"}});
    EXPECT_EQ(outcome.status, ExitStatus::Unreadable);
    EXPECT_THAT(outcome.err, HasSubstr("there is no session"));
    EXPECT_EQ(contentOf(a).settings.size(), 1U);
    EXPECT_EQ(run(a, MergeSessions {{a}}).status, ExitStatus::WrongWords);
}

TEST_F(SessionCommand, MergeTellsConflictsInSentences)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    fs::copy_file(a, m_folder / "b.twinlamp");
    for (const auto& [name, late] : {std::pair {"a.twinlamp", 40.0}, {"b.twinlamp", 38.5}}) {
        auto file = store::SessionFile::open(m_folder / name, {store::OpenMode::Write, {}, {}});
        session::SessionInfo info = session::infoOf(file->session());
        info.lateLimit = latencyFromMs(late);
        ASSERT_TRUE(file->apply(session::changeInfo(file->session(), info)));
    }
    const Json json = jsonOf(a, MergeSessions {{m_folder / "b.twinlamp"}});
    ASSERT_EQ(json["merged"][0]["conflicts"].size(), 1U);
    EXPECT_EQ(json["merged"][0]["conflicts"][0]["sentence"],
        "In session an invented campaign, late_limit_ms is 40 here and 38.5 in the other session; "
        "the one here stands.");
    EXPECT_EQ(json["merged"][0]["conflicts"][0]["not_taken_over"], "38.5");
    jsonOf(a, MergeSessions {{m_folder / "b.twinlamp"}, session::Prefer::There});
    EXPECT_EQ(contentOf(a).lateLimit, latencyFromMs(38.5));
}

TEST_F(SessionCommand, ExportWritesANewFileWithOrWithoutTraces)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    const fs::path out = m_folder / "out.twinlamp";
    const Json json = jsonOf(a, ExportSession {out, false});
    EXPECT_EQ(json["traces"], false);
    EXPECT_EQ(json["bytes"], fs::file_size(out));
    EXPECT_EQ(contentOf(out).clips.size(), contentOf(a).clips.size());
    const auto again = run(a, ExportSession {out, true});
    EXPECT_EQ(again.status, ExitStatus::WrongWords);
    EXPECT_THAT(again.err, HasSubstr("exists already"));
    EXPECT_EQ(run(a, ExportSession {m_folder / "no folder/out.twinlamp", true}).status,
        ExitStatus::NotWritten);
}

TEST_F(SessionCommand, MergeKeepsADatedCopyWhereAsked)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    const fs::path b = campaign("b.twinlamp", "wide", 2);
    const session::Session before = contentOf(a);
    EXPECT_TRUE(jsonOf(a, MergeSessions {{b}})["copy"].is_null());
    const session::Session merged = contentOf(a);
    const fs::path c = campaign("c.twinlamp", "far", 3);
    const Json json = jsonOf(a, MergeSessions {{c}, session::Prefer::Here, true});
    const fs::path copy = json["copy"].get<std::string>();
    EXPECT_EQ(copy.parent_path(), m_folder.path());
    EXPECT_THAT(copy.filename().string(),
        testing::MatchesRegex("a before merge [0-9-]{10} [0-9]{6}\\.twinlamp"));
    EXPECT_EQ(contentOf(a).settings.size(), 3U);
    EXPECT_EQ(contentOf(copy), merged);
    // The way back that the help names.
    fs::rename(copy, a);
    EXPECT_EQ(contentOf(a), merged);
}

TEST_F(SessionCommand, ExportLeavesOutAccountsWhereAsked)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    const fs::path out = m_folder / "out.twinlamp";
    const Json json = jsonOf(a, ExportSession {out, true, false});
    EXPECT_EQ(json["accounts"], false);
    const Json history = jsonOf(out, ShowHistory {});
    for (const auto& entry : history["entries"]) {
        EXPECT_EQ(entry["who"], "");
    }
    EXPECT_THAT(run(a, ExportSession {m_folder / "more.twinlamp", true, false}).out,
        HasSubstr("without account names and folders"));
}

TEST_F(SessionCommand, StopEndsRelinkWithTheUsualSentence)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    std::stop_source stop;
    stop.request_stop();
    const auto outcome = tests::outcomeOf(
        runSession, SessionArguments {a, RelinkClips {m_folder.path()}, ""}, stop.get_token());
    EXPECT_EQ(outcome.status, ExitStatus::Stopped);
    EXPECT_EQ(outcome.err, "twinlamp: stopped; no result was written\n");
}

TEST_F(SessionCommand, HistoryIsATableAndJson)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    const Json json = jsonOf(a, ShowHistory {});
    ASSERT_EQ(json["entries"].size(), 6U);
    EXPECT_EQ(json["entries"][0]["what"], "add link setting narrow");
    EXPECT_EQ(
        json["entries"][1]["what"], "file the result of clip narrow 1.mp4 under narrow, run 1");
    EXPECT_THAT(run(a, ShowHistory {}).out, HasSubstr("link-setting narrow, name: nothing -> "));
}

TEST_F(SessionCommand, ReadoutsAreTypedForPressesOfOneEdgeAndChecked)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    const std::vector<session::Clip> clips = contentOf(a).clips;
    for (int number = 1; number <= 4; ++number) {
        TypeReadouts typed {"narrow", {}, "", "narrow " + std::to_string(number) + ".mp4", 3};
        const auto& measured = clips[static_cast<std::size_t>(number) - 1].measurement->presses;
        for (std::size_t index = 2; index < 22; index += 2) {
            typed.latenciesMs.push_back(toMs(*measured[index].latency) - 4.0);
        }
        const Json json = jsonOf(a, typed);
        ASSERT_EQ(json["typed"].size(), 10U);
        EXPECT_EQ(json["typed"][1]["press"], 5) << "the next press of the same edge";
    }
    const Json check = jsonOf(a, CheckReadouts {});
    EXPECT_EQ(check["n"], 40);
    EXPECT_EQ(check["runs"], 4);
    EXPECT_NEAR(check["bias"]["estimate_ms"].get<double>(), -4.0, 1e-5);
    EXPECT_EQ(check["verdict"], "reads-less");
    EXPECT_THAT(run(a, CheckReadouts {}).out, HasSubstr("4.00 ms less than measured"));
    EXPECT_EQ(
        run(a, TypeReadouts {"narrow", {}, "", "narrow 1.mp4", {}, true}).status, ExitStatus::Done);
    EXPECT_EQ(jsonOf(a, CheckReadouts {})["n"], 30);
}

TEST_F(SessionCommand, ReadoutsOfASettingAndWrongNames)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    EXPECT_EQ(jsonOf(a, TypeReadouts {"narrow", {22.0, 23.5}, "menu"})["typed"].size(), 2U);
    EXPECT_EQ(contentOf(a).settings[0].readouts,
        (std::vector<session::SettingReadout> {{22.0, "menu"}, {23.5, "menu"}}));
    const Json check
        = jsonOf(a, CheckReadouts {report::PairsOf::Settings}, ExitStatus::NothingFound);
    EXPECT_EQ(check["n"], 1);
    EXPECT_TRUE(check["as_if_pairs_were_independent"].is_null());
    auto outcome = run(a, TypeReadouts {"wide", {22.0}});
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_THAT(outcome.err, HasSubstr("it has 'narrow'"));
    outcome = run(a, TypeReadouts {"narrow", {22.0}, "", "other.mp4"});
    EXPECT_THAT(outcome.err, HasSubstr("has no measured clip 'other.mp4'"));
    outcome = run(a, TypeReadouts {"narrow", {22.0, 23.0}, "", "narrow 1.mp4", 39});
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_THAT(outcome.err, HasSubstr("1 presses of that edge from 39 on"));
    outcome = run(a, CheckReadouts {report::PairsOf::Presses, "wide"});
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
}

TEST_F(SessionCommand, ConditionsAreToldAndShown)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    TellConditions task {"narrow"};
    task.told = {[](session::Conditions& told) { told.bitRateMbit = 12.5; },
        [](session::Conditions& told) { told.goggle = "an invented goggle"; }};
    EXPECT_EQ(jsonOf(a, task)["conditions"],
        (Json {{"bit_rate_mbit", 12.5}, {"goggle", "an invented goggle"}}));
    EXPECT_EQ(jsonOf(a, TellConditions {"narrow"})["conditions"]["bit_rate_mbit"], 12.5);
    EXPECT_EQ(jsonOf(a, ShowSession {})["settings"][0]["conditions"]["bit_rate_mbit"], 12.5);
    EXPECT_THAT(run(a, ShowHistory {}).out,
        HasSubstr("link-setting narrow, bit_rate_mbit: nothing -> 12.5"));
    EXPECT_EQ(run(a, TellConditions {"wide", {}, true}).status, ExitStatus::Done);
    EXPECT_EQ(contentOf(a).settings.size(), 2U);
    EXPECT_EQ(run(a, TellConditions {"wide", {}, true}).status, ExitStatus::WrongWords);
    EXPECT_EQ(run(a, TellConditions {"far", task.told}).status, ExitStatus::WrongWords);
}

TEST_F(SessionCommand, RelinkTellsWhatIsMissing)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    const Json json = jsonOf(a, RelinkClips {m_folder.path()});
    EXPECT_EQ(json["missing"].size(), 5U);
    EXPECT_EQ(json["found"].size(), 0U);
    EXPECT_EQ(run(a, RelinkClips {m_folder / "nowhere"}).status, ExitStatus::Unreadable);
}

TEST_F(SessionCommand, RelinkFindsAMovedClipByItsHash)
{
    const fs::path a = m_folder / "a.twinlamp";
    {
        auto file = store::SessionFile::create(a, "a");
        ASSERT_TRUE(file);
        ClipResult result;
        // SHA-256 of "abc": FIPS 180-4, example of one block (from memory; sha256sum agrees).
        result.clip.sha256 = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        result.clip.captureRate = {480, 1};
        std::ofstream(m_folder / "abc.mp4") << "abc";
        ASSERT_TRUE(store::fileResult(
            *file, {"narrow", "run 1"}, m_folder / "abc.mp4", std::move(result), {}));
    }
    EXPECT_EQ(jsonOf(a, RelinkClips {m_folder.path()})["in_place"], 1);
    fs::create_directories(m_folder / "archive/old");
    fs::rename(m_folder / "abc.mp4", m_folder / "archive/old/other name.mp4");
    std::ofstream(m_folder / "archive/abc.mp4") << "xyz";
    const Json json = jsonOf(a, RelinkClips {m_folder / "archive"});
    ASSERT_EQ(json["found"].size(), 1U);
    EXPECT_EQ(json["found"][0]["clip"], "abc.mp4");
    EXPECT_EQ(contentOf(a).clips[0].file.relativePath, "archive/old/other name.mp4");
    EXPECT_EQ(jsonOf(a, RelinkClips {m_folder / "archive"})["in_place"], 1);
}

TEST_F(SessionCommand, WhatChangesWaitsForAWindowAndWhatLooksDoesNot)
{
    const fs::path a = campaign("a.twinlamp", "narrow", 1);
    const auto window = store::SessionFile::open(a, {store::OpenMode::Write, {}, {}});
    ASSERT_TRUE(window);
    EXPECT_EQ(run(a, ShowSession {}).status, ExitStatus::Done);
    EXPECT_EQ(run(a, ShowHistory {}).status, ExitStatus::Done);
    EXPECT_EQ(run(a, ExportSession {m_folder / "out.twinlamp", true}).status, ExitStatus::Done);
    std::stop_source stop;
    stop.request_stop(); // does not wait the whole 5 s
    const auto outcome = tests::outcomeOf(
        runSession, SessionArguments {a, TypeReadouts {"narrow", {22.0}}, ""}, stop.get_token());
    EXPECT_EQ(outcome.status, ExitStatus::NotWritten);
    EXPECT_THAT(outcome.err, HasSubstr("is open in another window or command"));
}

} // namespace

} // namespace twinlamp::commands
