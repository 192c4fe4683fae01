// SPDX-License-Identifier: GPL-3.0-or-later
// `twinlamp compare` and `twinlamp reckon` as processes of their own.
#include "tests/app/bench_session.h"
#include "tests/app/clips.h"
#include "tests/support/program.h"
#include "tests/support/temporary_folder.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace twinlamp::tests {

namespace {

using nlohmann::json;
using testing::HasSubstr;
using testing::StartsWith;

class CompareProgram : public testing::Test
{
protected:
    [[nodiscard]] ProgramRun run(const std::vector<std::string>& words) const
    {
        ProgramOptions options;
        for (const char* variable : {"XDG_STATE_HOME", "XDG_CACHE_HOME", "XDG_DATA_HOME"}) {
            options.environment.emplace_back(variable, m_folder.path().string());
        }
        return runProgram(TWINLAMP_PROGRAM, words, options);
    }

    [[nodiscard]] std::string file(const std::vector<BenchSetting>& settings) const
    {
        const auto session = m_folder / "bench.twinlamp";
        fileCampaign(session, settings, 5);
        return session.string();
    }

    TemporaryFolder m_folder {memoryFolder()};
};

TEST_F(CompareProgram, WritesJsonAndLeavesTheSessionAlone)
{
    BenchSetting far {"far"};
    far.link.travelMs += 9.0;
    const std::string session = file({{"near"}, far});
    const auto out = m_folder / "out.json";
    const ProgramRun done = run({"compare", session, "near", "far", "--json", out.string()});
    EXPECT_EQ(done.status, 0) << done.err;
    EXPECT_EQ(done.out, "");
    const ProgramRun printed = run({"compare", session, "near", "far", "--json", "-"});
    EXPECT_EQ(json::parse(printed.out)["shift"]["verdict"], "a-faster");
    const ProgramRun words = run({"compare", session, "near", "far"});
    EXPECT_THAT(words.out, HasSubstr("A is faster"));
    // Closed, a session is one file.
    EXPECT_THAT(m_folder.names(), testing::ElementsAre("bench.twinlamp", "out.json", "twinlamp"));
}

TEST_F(CompareProgram, StatusTellsWhatIsWrong)
{
    const std::string session = file({{"near"}, {"far"}});
    const ProgramRun unknown = run({"compare", session, "near", "away"});
    EXPECT_EQ(unknown.status, 2);
    EXPECT_THAT(unknown.err, StartsWith("twinlamp: "));
    EXPECT_THAT(unknown.err, HasSubstr("it has 'near', 'far'"));
    EXPECT_EQ(run({"compare", session, "near"}).status, 2);
    EXPECT_EQ(run({"compare", session + "x", "near", "far"}).status, 3);
    EXPECT_EQ(run({"compare", session, "near", "far", "--json", "/no/such/folder/a"}).status, 5);
    const ProgramRun help = run({"compare", "--help"});
    EXPECT_EQ(help.status, 0);
    EXPECT_THAT(help.out, HasSubstr("Holm"));
}

TEST_F(CompareProgram, TakesWhatMeasureFiled)
{
    const std::string session = (m_folder / "filed.twinlamp").string();
    const auto measure = [&](const char* name, const char* rate, const char* setting) {
        return run({"measure", clip(name).string(), "--capture-rate", rate, "--session", session,
            "--setting", setting, "--json", "-"});
    };
    const ProgramRun first = measure("clean", "1000", "one");
    ASSERT_EQ(first.status, 0) << first.err;
    ASSERT_EQ(measure("clean_480_hevc", "480", "other").status, 0);
    const ProgramRun done = run({"compare", session, "one", "other", "--json", "-"});
    ASSERT_EQ(done.status, 0) << done.err;
    const json compared = json::parse(done.out);
    const json measured = json::parse(first.out);
    EXPECT_EQ(compared["a"]["runs"], 1);
    // The session is asked for nothing but what measure printed.
    for (const char* key : {"n", "median_ms", "sd_ms", "p95_ms", "no_response", "p95_needs"}) {
        EXPECT_EQ(compared["a"]["summary"][key], measured["summary"][key]) << key;
    }
    EXPECT_EQ(compared["shift"]["verdict"], "undecided");
    EXPECT_THAT(
        compared["sentences"].dump(), HasSubstr("the capture rate, A 1000 frames/s, B 480"));
}

TEST_F(CompareProgram, ReckonAnswers)
{
    const ProgramRun done = run({"reckon", "late", "--share", "0.05", "--json", "-"});
    EXPECT_EQ(done.status, 0) << done.err;
    EXPECT_EQ(json::parse(done.out)["presses"], 59);
    EXPECT_EQ(run({"reckon", "late", "--share", "5"}).status, 2);
}

} // namespace

} // namespace twinlamp::tests
