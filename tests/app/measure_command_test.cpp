// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/measure_command.h"
#include "core/session/store/session_file.h"
#include "tests/app/clips.h"
#include "tests/app/outcome.h"
#include "tests/support/file_content.h"
#include "tests/support/temporary_folder.h"

#include <algorithm>
#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

namespace twinlamp::commands {

namespace {

using nlohmann::json;
using testing::HasSubstr;
using tests::clip;
using tests::contentOf;
using tests::Outcome;

class MeasureCommand : public testing::Test
{
protected:
    static Outcome run(const MeasureArguments& arguments, std::stop_token stop = {})
    {
        return tests::outcomeOf(runMeasure, arguments, std::move(stop));
    }

    /// The clean clip with its rate; regions are located.
    static MeasureArguments clean()
    {
        MeasureArguments arguments;
        arguments.clip = clip("clean");
        arguments.options.captureRate = FrameRate {1000, 1};
        return arguments;
    }

    /// Regions as the scene has them: the shortest way for tests that are about something else.
    static MeasureArguments given()
    {
        MeasureArguments arguments = clean();
        const json regions = json::parse(contentOf(tests::truthOf("clean"))).at("regions");
        const auto rect = [](const json& at) { return RectPx {at[0], at[1], at[2], at[3]}; };
        arguments.options.reference = rect(regions.at("reference"));
        arguments.options.goggle = rect(regions.at("goggle"));
        arguments.options.panel = rect(regions.at("panel"));
        return arguments;
    }

    [[nodiscard]] std::filesystem::path in(const std::string& name) const
    {
        return m_folder.path() / name;
    }

private:
    tests::TemporaryFolder m_folder;
};

std::set<std::string> keysOf(const json& object)
{
    std::set<std::string> keys;
    for (const auto& [key, value] : object.items()) {
        keys.insert(key);
    }
    return keys;
}

/// Every agreed key is there; more are welcome.
void expectKeys(const json& object, const std::set<std::string>& agreed)
{
    const auto keys = keysOf(object);
    for (const std::string& key : agreed) {
        EXPECT_TRUE(keys.contains(key)) << key << " is missing in " << object.dump();
    }
}

const std::set<std::string> summaryKeys {"n", "median_ms", "median_low_ms", "median_high_ms",
    "mean_ms", "sd_ms", "link_spread_ms", "link_spread_low_ms", "link_spread_high_ms", "p5_ms",
    "p95_ms", "max_ms", "no_response", "late", "late_share", "late_low", "late_high"};

TEST_F(MeasureCommand, JsonHasEveryAgreedKey)
{
    MeasureArguments arguments = given();
    arguments.jsonFile = "-";
    const Outcome outcome = run(arguments);
    ASSERT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
    const json result = json::parse(outcome.out);
    expectKeys(result,
        {"tool", "version", "clip", "regions", "scan", "presses", "panel_timing", "summary",
            "summary_off", "full_frame_summary", "notes"});
    EXPECT_EQ(result.at("tool"), "twinlamp");
    expectKeys(result.at("clip"),
        {"file", "sha256", "frames", "width", "height", "rotation_deg", "play_rate_hz",
            "capture_rate_hz", "capture_rate_source", "lost_frames", "exposure_ms",
            "exposure_source"});
    expectKeys(result.at("regions"), {"reference", "goggle", "panel", "panel_corners", "source"});
    expectKeys(result.at("scan"), {"mode", "frames_decoded", "seconds", "shortest_hold_ms"});
    ASSERT_FALSE(result.at("presses").empty());
    for (const json& press : result.at("presses")) {
        expectKeys(press,
            {"index", "edge", "reference_ms", "first_light_ms", "half_light_ms", "settled_ms",
                "sweep_start_ms", "full_frame_ms", "latency_ms", "full_frame_latency_ms",
                "uncertainty_ms", "accepted", "flags"});
    }
    expectKeys(result.at("panel_timing"),
        {"scan_ms", "direction", "new_frame_ms", "new_frame_hz", "new_frame_uncertainty_ms",
            "refresh_ms", "held_share", "longest_held_ms", "signs"});
    for (const char* summary : {"summary", "summary_off", "full_frame_summary"}) {
        expectKeys(result.at(summary), summaryKeys);
    }
}

TEST_F(MeasureCommand, CornersOfTheUprightPanelGiveItsFigures)
{
    MeasureArguments arguments = given();
    arguments.jsonFile = "-";
    const json byRectangle = json::parse(run(arguments).out);
    EXPECT_TRUE(byRectangle.at("regions").at("panel_corners").is_null());
    const RectPx panel = arguments.options.panel.value();
    setPanelCorners(arguments.options, quadOf(panel));
    const Outcome outcome = run(arguments);
    ASSERT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
    const json byCorners = json::parse(outcome.out);
    EXPECT_EQ(byCorners.at("regions").at("panel"), byRectangle.at("regions").at("panel"));
    const json corners = json::array({{panel.x, panel.y}, {panel.right(), panel.y},
        {panel.right(), panel.bottom()}, {panel.x, panel.bottom()}});
    EXPECT_EQ(byCorners.at("regions").at("panel_corners"), corners);
    const auto median = [](const json& result) {
        return result.at("full_frame_summary").at("median_ms").get<double>();
    };
    // Other pixels of the same cells: noise of a few hundredths of a frame of 1 ms.
    EXPECT_NEAR(median(byCorners), median(byRectangle), 0.1);
}

TEST_F(MeasureCommand, CornersOutsideThePictureAreRefused)
{
    MeasureArguments arguments = given();
    setPanelCorners(arguments.options, quadOf({100, 80, 4000, 90}));
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_THAT(outcome.err, HasSubstr("panel region"));
}

TEST_F(MeasureCommand, ClipFactsAreThoseOfTheFile)
{
    MeasureArguments arguments = given();
    arguments.jsonFile = "-";
    const json result = json::parse(run(arguments).out);
    const json truth = json::parse(contentOf(tests::truthOf("clean")));
    for (const char* key : {"frames", "width", "height", "rotation_deg", "play_rate_hz",
             "capture_rate_hz", "lost_frames"}) {
        EXPECT_EQ(result.at("clip").at(key), truth.at("clip").at(key)) << key;
    }
    EXPECT_EQ(result.at("clip").at("capture_rate_source"), "given");
    EXPECT_THAT(
        result.at("clip").at("sha256").get<std::string>(), testing::MatchesRegex("[0-9a-f]{64}"));
    EXPECT_EQ(result.at("regions").at("source"), "given");
    EXPECT_EQ(result.at("regions").at("reference"), truth.at("regions").at("reference"));
}

TEST_F(MeasureCommand, PrintsATableWithoutJsonOrCsv)
{
    const Outcome outcome = run(given());
    EXPECT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
    EXPECT_THAT(outcome.out, HasSubstr("clean.mp4"));
    EXPECT_THAT(outcome.out, HasSubstr("latency"));
    EXPECT_THAT(outcome.out, HasSubstr("median"));
    EXPECT_EQ(outcome.err, "");
}

TEST_F(MeasureCommand, CsvHasOneLinePerPress)
{
    MeasureArguments arguments = given();
    arguments.jsonFile = "-";
    arguments.csvFile = in("presses.csv").string();
    const Outcome outcome = run(arguments);
    ASSERT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
    const auto presses = static_cast<std::ptrdiff_t>(json::parse(outcome.out).at("presses").size());
    const std::string csv = contentOf(arguments.csvFile);
    EXPECT_EQ(std::ranges::count(csv, '\n'), presses + 1);
}

TEST_F(MeasureCommand, CaptureRateThatNobodyTellsIsAskedFor)
{
    MeasureArguments arguments = given();
    arguments.options.captureRate.reset();
    arguments.jsonFile = in("out.json").string();
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_THAT(outcome.err, HasSubstr("--capture-rate"));
    EXPECT_EQ(std::ranges::count(outcome.err, '\n'), 1);
    EXPECT_FALSE(std::filesystem::exists(arguments.jsonFile));
}

TEST_F(MeasureCommand, CaptureRateIsReadFromATaggedFile)
{
    MeasureArguments arguments;
    arguments.clip = clip("clean_480_hevc");
    arguments.jsonFile = "-";
    const Outcome outcome = run(arguments);
    ASSERT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
    const json facts = json::parse(outcome.out).at("clip");
    EXPECT_EQ(facts.at("capture_rate_hz"), 480.0);
    EXPECT_EQ(facts.at("capture_rate_source"), "file");
}

TEST_F(MeasureCommand, RegionOutsideThePictureIsRefused)
{
    MeasureArguments arguments = given();
    arguments.options.reference = RectPx {5000, 10, 20, 20};
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_EQ(std::ranges::count(outcome.err, '\n'), 1) << outcome.err;
}

TEST_F(MeasureCommand, OneLampInBothRegionsIsRefused)
{
    MeasureArguments arguments = given();
    arguments.options.goggle = arguments.options.reference;
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_THAT(outcome.err, HasSubstr("the same lamp"));
    EXPECT_EQ(std::ranges::count(outcome.err, '\n'), 1) << outcome.err;
}

TEST_F(MeasureCommand, ExposureLongerThanAFrameIsRefused)
{
    MeasureArguments arguments = given();
    arguments.options.exposureMs = 40.0;
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_THAT(outcome.err, HasSubstr("longer than a frame"));
    EXPECT_EQ(std::ranges::count(outcome.err, '\n'), 1) << outcome.err;
}

TEST_F(MeasureCommand, WhatIsNoClipCannotBeRead)
{
    std::ofstream(in("empty.mp4")) << "";
    std::ofstream(in("text.mp4")) << "no footage at all\n";
    std::filesystem::create_directory(in("folder.mp4"));
    const std::string whole = contentOf(clip("clean"));
    std::ofstream(in("cut.mp4"), std::ios::binary) << whole.substr(0, 200);
    for (const char* name : {"gone.mp4", "empty.mp4", "text.mp4", "folder.mp4", "cut.mp4"}) {
        MeasureArguments arguments = given();
        arguments.clip = in(name);
        arguments.jsonFile = in("out.json").string();
        const Outcome outcome = run(arguments);
        EXPECT_EQ(outcome.status, ExitStatus::Unreadable) << name;
        EXPECT_THAT(outcome.err, HasSubstr(name));
        EXPECT_EQ(std::ranges::count(outcome.err, '\n'), 1) << outcome.err;
        EXPECT_FALSE(std::filesystem::exists(arguments.jsonFile)) << name;
    }
}

TEST_F(MeasureCommand, ClipWithoutAPressStillWritesItsJson)
{
    MeasureArguments arguments = given();
    arguments.clip = clip("no_press");
    arguments.jsonFile = in("out.json").string();
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::NothingFound);
    EXPECT_THAT(outcome.err, HasSubstr("no_press.mp4"));
    const json result = json::parse(contentOf(arguments.jsonFile));
    EXPECT_TRUE(result.at("presses").empty());
    EXPECT_EQ(result.at("summary").at("n"), 0);
    EXPECT_TRUE(result.at("summary").at("median_ms").is_null());
}

TEST_F(MeasureCommand, ClipWithoutRegionsStillWritesItsJson)
{
    MeasureArguments arguments = clean();
    arguments.clip = clip("no_press");
    arguments.jsonFile = in("out.json").string();
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::NothingFound);
    EXPECT_EQ(std::ranges::count(outcome.err, '\n'), 1) << outcome.err;
    const json result = json::parse(contentOf(arguments.jsonFile));
    EXPECT_TRUE(result.at("presses").empty());
    EXPECT_TRUE(result.at("regions").at("reference").is_null());
    EXPECT_EQ(result.at("clip").at("frames"), 500);
    EXPECT_FALSE(result.at("notes").empty());
    expectKeys(result.at("summary"), summaryKeys);
}

TEST_F(MeasureCommand, LocatedRegionsFindTheSamePresses)
{
    MeasureArguments located = clean();
    located.jsonFile = "-";
    MeasureArguments told = given();
    told.jsonFile = "-";
    const Outcome first = run(located);
    ASSERT_EQ(first.status, ExitStatus::Done) << first.err;
    const json byProgram = json::parse(first.out);
    const json byHand = json::parse(run(told).out);
    EXPECT_EQ(byProgram.at("regions").at("source"), "located");
    EXPECT_EQ(byProgram.at("presses").size(), byHand.at("presses").size());
}

TEST_F(MeasureCommand, OnlyTheWantedEdgesAreListed)
{
    MeasureArguments arguments = given();
    arguments.jsonFile = "-";
    arguments.options.edges = measure::EdgeChoice::Off;
    const json presses = json::parse(run(arguments).out).at("presses");
    ASSERT_FALSE(presses.empty());
    for (const json& press : presses) {
        EXPECT_EQ(press.at("edge"), "off");
    }
}

TEST_F(MeasureCommand, LateShareFollowsTheLimit)
{
    MeasureArguments arguments = given();
    arguments.jsonFile = "-";
    arguments.lateLimitMs = 1.0;
    const json all = json::parse(run(arguments).out).at("summary");
    EXPECT_EQ(all.at("late"), all.at("n"));
    EXPECT_EQ(all.at("late_share"), 1.0);
    arguments.lateLimitMs = 1000.0;
    const json none = json::parse(run(arguments).out).at("summary");
    EXPECT_EQ(none.at("late"), 0);
    EXPECT_EQ(none.at("late_share"), 0.0);
}

TEST_F(MeasureCommand, ZeroCorrectionMovesEveryLatency)
{
    MeasureArguments arguments = given();
    arguments.jsonFile = "-";
    const json before = json::parse(run(arguments).out).at("presses");
    arguments.options.zeroMs = 0.25;
    const json after = json::parse(run(arguments).out).at("presses");
    ASSERT_EQ(before.size(), after.size());
    for (std::size_t i = 0; i < before.size(); ++i) {
        if (!before[i].at("latency_ms").is_null()) {
            // Times are written in ms rounded to the ns.
            EXPECT_NEAR(after[i].at("latency_ms").get<double>(),
                before[i].at("latency_ms").get<double>() - 0.25, 2e-6);
        }
    }
}

TEST_F(MeasureCommand, ResultThatCannotBeWrittenIsStatusFive)
{
    MeasureArguments arguments = given();
    arguments.jsonFile = in("missing/out.json").string();
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::NotWritten);
    EXPECT_THAT(outcome.err, HasSubstr("missing/out.json"));
}

TEST_F(MeasureCommand, StopLeavesNothing)
{
    std::stop_source stop;
    stop.request_stop();
    MeasureArguments arguments = given();
    arguments.jsonFile = in("out.json").string();
    arguments.sessionFile = in("s.twinlamp");
    arguments.setting = "narrow";
    const Outcome outcome = run(arguments, stop.get_token());
    EXPECT_EQ(outcome.status, ExitStatus::Stopped);
    EXPECT_FALSE(std::filesystem::exists(arguments.jsonFile));
    EXPECT_FALSE(std::filesystem::exists(arguments.sessionFile));
}

class MeasureIntoSession : public MeasureCommand
{
protected:
    [[nodiscard]] MeasureArguments filed(const std::string& setting, const std::string& run) const
    {
        MeasureArguments arguments = given();
        arguments.sessionFile = in("bench.twinlamp");
        arguments.setting = setting;
        arguments.run = run;
        return arguments;
    }

    [[nodiscard]] session::Session content() const
    {
        const auto file = session::store::SessionFile::open(in("bench.twinlamp"));
        EXPECT_TRUE(file.has_value()) << (file ? "" : file.error().detail);
        return file ? file->session() : session::Session {};
    }
};

TEST_F(MeasureIntoSession, MakesSessionSettingAndRun)
{
    const Outcome outcome = run(filed("narrow, low power", "morning"));
    ASSERT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
    const session::Session session = content();
    const auto* setting = session::findSetting(session, "narrow, low power");
    ASSERT_NE(setting, nullptr);
    EXPECT_NE(session::findRun(session, setting->id, "morning"), nullptr);
    ASSERT_EQ(session.clips.size(), 1U);
    ASSERT_TRUE(session.clips[0].measurement);
    EXPECT_FALSE(session.clips[0].measurement->presses.empty());
}

TEST_F(MeasureIntoSession, SameClipInTheSameSettingIsReplaced)
{
    ASSERT_EQ(run(filed("narrow", "1")).status, ExitStatus::Done);
    ASSERT_EQ(run(filed("narrow", "1")).status, ExitStatus::Done);
    EXPECT_EQ(content().clips.size(), 1U);
}

TEST_F(MeasureIntoSession, SameClipInAnotherSettingIsRefused)
{
    ASSERT_EQ(run(filed("narrow", "1")).status, ExitStatus::Done);
    const auto before = content();
    MeasureArguments other = filed("wide", "1");
    other.jsonFile = in("out.json").string();
    const Outcome outcome = run(other);
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_THAT(outcome.err, HasSubstr("narrow"));
    EXPECT_EQ(content(), before);
    EXPECT_FALSE(std::filesystem::exists(other.jsonFile));
}

TEST_F(MeasureIntoSession, WhatIsNoSessionCannotBeRead)
{
    std::ofstream(in("bench.twinlamp")) << "no session at all\n";
    const Outcome outcome = run(filed("narrow", "1"));
    EXPECT_EQ(outcome.status, ExitStatus::Unreadable);
    EXPECT_THAT(outcome.err, HasSubstr("bench.twinlamp"));
    EXPECT_EQ(contentOf(in("bench.twinlamp")), "no session at all\n");
}

TEST_F(MeasureIntoSession, SessionThatStaysOpenElsewhereIsStatusFive)
{
    ASSERT_EQ(run(filed("narrow", "1")).status, ExitStatus::Done);
    const auto holder = session::store::SessionFile::open(
        in("bench.twinlamp"), {session::store::OpenMode::Write, {}, {}});
    ASSERT_TRUE(holder.has_value());
    const auto start = std::chrono::steady_clock::now();
    const Outcome outcome = run(filed("narrow", "2"));
    EXPECT_EQ(outcome.status, ExitStatus::NotWritten);
    EXPECT_GE(std::chrono::steady_clock::now() - start, std::chrono::seconds(5));
    EXPECT_THAT(outcome.err, HasSubstr("bench.twinlamp"));
}

TEST_F(MeasureIntoSession, SessionThatCannotBeMadeIsStatusFive)
{
    MeasureArguments arguments = filed("narrow", "1");
    arguments.sessionFile = in("missing") / "bench.twinlamp";
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::NotWritten);
    EXPECT_THAT(outcome.err, HasSubstr("missing/bench.twinlamp"));
}

TEST_F(MeasureIntoSession, ClipWithoutAPressIsNotFiled)
{
    MeasureArguments arguments = filed("narrow", "1");
    arguments.clip = clip("no_press");
    EXPECT_EQ(run(arguments).status, ExitStatus::NothingFound);
    EXPECT_FALSE(std::filesystem::exists(arguments.sessionFile));
}

} // namespace

} // namespace twinlamp::commands
