// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/locate_command.h"
#include "core/base/units.h"
#include "tests/app/clips.h"
#include "tests/app/outcome.h"
#include "tests/support/temporary_folder.h"

#include <algorithm>
#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <sstream>

namespace twinlamp::commands {

namespace {

using nlohmann::json;
using testing::HasSubstr;
using tests::clip;
using tests::Outcome;

Outcome run(const LocateArguments& arguments, std::stop_token stop = {})
{
    return tests::outcomeOf(runLocate, arguments, std::move(stop));
}

RectPx rectOf(const json& at) { return {at[0], at[1], at[2], at[3]}; }

/// Share of the common area in the area of both together.
double overlap(RectPx a, RectPx b)
{
    const double common = static_cast<double>(intersection(a, b).areaPx());
    return common / (static_cast<double>(a.areaPx() + b.areaPx()) - common);
}

TEST(LocateCommand, JsonProposesWhatTheSceneShows)
{
    const Outcome outcome = run({clip("clean"), "-"});
    ASSERT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
    const json located = json::parse(outcome.out);
    std::ifstream stream(tests::truthOf("clean"));
    const json regions = json::parse(stream).at("regions");
    for (const char* lamp : {"reference", "goggle"}) {
        const json& region = located.at(lamp);
        EXPECT_GT(region.at("confidence").get<double>(), 0.0);
        EXPECT_LE(region.at("confidence").get<double>(), 1.0);
        EXPECT_GT(intersection(rectOf(region.at("rect")), rectOf(regions.at(lamp))).areaPx(), 0)
            << lamp << " " << region.dump();
    }
    ASSERT_FALSE(located.at("panel").is_null());
    EXPECT_GT(overlap(rectOf(located.at("panel").at("rect")), rectOf(regions.at("panel"))), 0.5);
    EXPECT_TRUE(located.at("notes").is_array());
}

TEST(LocateCommand, WordsCarryTheOptionsOfMeasure)
{
    const Outcome outcome = run({clip("clean"), ""});
    ASSERT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
    EXPECT_THAT(outcome.out, HasSubstr("--reference "));
    EXPECT_THAT(outcome.out, HasSubstr("--goggle "));
}

TEST(LocateCommand, NothingToLocateStillWritesItsJson)
{
    const Outcome outcome = run({clip("no_press"), "-"});
    EXPECT_EQ(outcome.status, ExitStatus::NothingFound);
    const json located = json::parse(outcome.out);
    EXPECT_TRUE(located.at("reference").is_null());
    EXPECT_TRUE(located.at("goggle").is_null());
    EXPECT_TRUE(located.at("panel").is_null());
    EXPECT_EQ(located.at("notes").size(), 1U);
    EXPECT_EQ(std::ranges::count(outcome.err, '\n'), 1) << outcome.err;
}

TEST(LocateCommand, MissingClipCannotBeRead)
{
    const tests::TemporaryFolder folder;
    const Outcome outcome = run({folder.path() / "gone.mp4", "-"});
    EXPECT_EQ(outcome.status, ExitStatus::Unreadable);
    EXPECT_THAT(outcome.err, HasSubstr("gone.mp4"));
    EXPECT_EQ(outcome.out, "");
}

TEST(LocateCommand, StopLeavesNothing)
{
    std::stop_source stop;
    stop.request_stop();
    const Outcome outcome = run({clip("clean"), "-"}, stop.get_token());
    EXPECT_EQ(outcome.status, ExitStatus::Stopped);
    EXPECT_EQ(outcome.out, "");
}

} // namespace

} // namespace twinlamp::commands
