// SPDX-License-Identifier: GPL-3.0-or-later
// The built program as a process of its own: statuses, streams, signals, locale.
#include "tests/app/clips.h"
#include "tests/support/file_content.h"
#include "tests/support/program.h"
#include "tests/support/temporary_folder.h"

#include <csignal>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace twinlamp::tests {

namespace {

using nlohmann::json;
using testing::EndsWith;
using testing::HasSubstr;
using testing::StartsWith;

/// The program with folders of its own, so that no test reads or leaves anything of the user's.
class Program : public testing::Test
{
protected:
    [[nodiscard]] ProgramRun run(
        const std::vector<std::string>& words, ProgramOptions options = {}) const
    {
        for (const char* variable : {"XDG_STATE_HOME", "XDG_CACHE_HOME", "XDG_DATA_HOME"}) {
            options.environment.insert(
                options.environment.begin(), {variable, m_folder.path().string()});
        }
        options.environment.insert(options.environment.begin(), {"QT_QPA_PLATFORM", ""});
        options.environment.insert(options.environment.begin(), {"DISPLAY", ""});
        options.environment.insert(options.environment.begin(), {"WAYLAND_DISPLAY", ""});
        return runProgram(TWINLAMP_PROGRAM, words, options);
    }

    [[nodiscard]] std::filesystem::path in(const std::string& name) const
    {
        return m_folder.path() / name;
    }

    /// True from the moment that a signal is heard.
    [[nodiscard]] bool listens() const
    {
        return contentOf(in("twinlamp/twinlamp.log")).find("starts a command") != std::string::npos;
    }

private:
    TemporaryFolder m_folder;
};

/// `twinlamp measure` of the clean clip, whose rate is not in the file.
std::vector<std::string> measureClean(const std::vector<std::string>& more)
{
    std::vector<std::string> words {"measure", clip("clean").string(), "--capture-rate", "1000"};
    words.insert(words.end(), more.begin(), more.end());
    return words;
}

/// One line that begins with the program's name, and nothing else on standard error.
void expectOneLine(const ProgramRun& run, const std::string& part)
{
    EXPECT_THAT(run.err, StartsWith("twinlamp: "));
    EXPECT_THAT(run.err, EndsWith("\n"));
    EXPECT_EQ(std::ranges::count(run.err, '\n'), 1) << run.err;
    EXPECT_THAT(run.err, HasSubstr(part));
}

TEST_F(Program, TellsItsVersion)
{
    const auto result = run({"--version"});
    EXPECT_EQ(result.status, 0);
    EXPECT_THAT(result.out, testing::MatchesRegex("twinlamp [0-9]+\\.[0-9]+\\.[0-9]+\n"));
    EXPECT_EQ(result.err, "");
}

TEST_F(Program, WrongOptionIsStatusTwo)
{
    const auto result = run({"measure", "clip.mp4", "--nonsense"});
    EXPECT_EQ(result.status, 2);
    EXPECT_EQ(result.out, "");
    expectOneLine(result, "--nonsense");
}

TEST_F(Program, MisspeltCommandIsStatusTwo)
{
    const auto result = run({"mesure", "clip.mp4"});
    EXPECT_EQ(result.status, 2);
    expectOneLine(result, "'mesure' is neither a command nor a file");
}

TEST_F(Program, MissingClipIsStatusThree)
{
    for (const char* command : {"measure", "locate"}) {
        const auto result = run({command, in("gone.mp4").string()});
        EXPECT_EQ(result.status, 3) << command;
        expectOneLine(result, "gone.mp4");
    }
    const auto window = run({in("gone.mp4").string()});
    EXPECT_EQ(window.status, 3);
    expectOneLine(window, "gone.mp4");
}

TEST_F(Program, WindowWithoutDisplaySaysSo)
{
    const auto result = run({});
    EXPECT_EQ(result.status, 2);
    expectOneLine(result, "window");
}

TEST_F(Program, SaysNothingOnStandardErrorWhenAllIsWell)
{
    const auto result = run(measureClean({"--json", "-"}));
    EXPECT_EQ(result.status, 0);
    EXPECT_EQ(result.err, "");
    EXPECT_FALSE(json::parse(result.out).at("presses").empty());
}

TEST_F(Program, ExplainsWithoutADisplay)
{
#ifdef TWINLAMP_WITH_WINDOW
    for (const char* ending : {"png", "svg"}) {
        const std::filesystem::path file = in(std::string("press.") + ending);
        const auto result = run({"explain", clip("clean").string(), "--capture-rate", "1000",
            "--press", "2", "-o", file.string()});
        EXPECT_EQ(result.status, 0);
        EXPECT_EQ(result.err, "");
        EXPECT_GT(std::filesystem::file_size(file), 10'000U);
    }
#else
    const auto result = run({"explain", clip("clean").string(), "--capture-rate", "1000", "--press",
        "2", "-o", in("press.png").string()});
    EXPECT_EQ(result.status, 2);
    expectOneLine(result, "--json");
#endif
}

TEST_F(Program, VerboseShowsTheLog)
{
    const auto result = run(measureClean({"--json", "-", "--verbose"}));
    EXPECT_EQ(result.status, 0);
    EXPECT_THAT(result.err, HasSubstr("starts a command"));
    EXPECT_FALSE(json::parse(result.out).at("presses").empty()) << "standard output stays JSON";
}

TEST_F(Program, RunsWithoutALogFile)
{
    ProgramOptions options;
    options.environment = {{"XDG_STATE_HOME", "/dev/null"}};
    const auto result = run(measureClean({"--json", "-"}), options);
    EXPECT_EQ(result.status, 0);
    EXPECT_EQ(result.err, "");
}

TEST_F(Program, GoneReaderIsStatusFive)
{
    ProgramOptions options;
    options.closedOutput = true;
    const auto result = run(measureClean({}), options);
    EXPECT_EQ(result.status, 5);
    expectOneLine(result, "standard output");
    const auto help = run({"--help"}, options);
    EXPECT_EQ(help.status, 5);
    expectOneLine(help, "standard output");
}

class StoppedProgram : public Program, public testing::WithParamInterface<int>
{
};

TEST_P(StoppedProgram, LeavesNoResultAndTellsTheSignal)
{
    ProgramOptions options;
    options.signal = GetParam();
    options.signalWhen = [this] { return listens(); };
    const auto target = in("out.json");
    const auto result = run(
        {"measure", clip("long").string(), "--capture-rate", "1000", "--json", target.string()},
        options);
    EXPECT_EQ(result.status, 128 + GetParam());
    expectOneLine(result, "stopped");
    EXPECT_FALSE(std::filesystem::exists(target));
    // 50 ms is the aim of one job on a quiet machine; here a whole process ends on a busy one.
    EXPECT_LT(result.afterSignal, std::chrono::seconds(2));
}

TEST_P(StoppedProgram, LeavesNoClipHalfFilmed)
{
    ProgramOptions options;
    options.signal = GetParam();
    options.signalWhen = [this] { return listens(); };
    const auto folder = in("filmed");
    std::filesystem::create_directory(folder);
    const auto result
        = run({"film", scene("long").string(), "-o", (folder / "a.mp4").string()}, options);
    EXPECT_EQ(result.status, 128 + GetParam());
    expectOneLine(result, "stopped");
    EXPECT_TRUE(std::filesystem::is_empty(folder)) << "no clip, no truth, no part of either";
}

INSTANTIATE_TEST_SUITE_P(BySignal, StoppedProgram, testing::Values(SIGINT, SIGTERM),
    [](const testing::TestParamInfo<int>& row) {
        return std::string(row.param == SIGINT ? "Interrupt" : "Terminate");
    });

TEST_F(Program, WritesTheSameFiguresUnderACommaLocale)
{
    if (std::string(TWINLAMP_COMMA_LOCALE).empty()) {
        GTEST_SKIP() << "no locale with a decimal comma could be made on this machine";
    }
    ProgramOptions comma;
    // The C library never frees the path it makes of LOCPATH: not a leak of the program's.
    comma.environment = {{"LOCPATH", TWINLAMP_LOCALE_FOLDER}, {"LC_ALL", TWINLAMP_COMMA_LOCALE},
        {"ASAN_OPTIONS", "detect_leaks=0"}};
    const auto words
        = measureClean({"--exposure", "0.5", "--json", "-", "--csv", in("out.csv").string()});
    const auto plain = run(words);
    const std::string plainCsv = contentOf(in("out.csv"));
    const auto withComma = run(words, comma);
    EXPECT_EQ(withComma.status, 0);
    json first = json::parse(plain.out);
    json second = json::parse(withComma.out);
    first["scan"].erase("seconds");
    second["scan"].erase("seconds");
    EXPECT_EQ(first, second);
    EXPECT_EQ(contentOf(in("out.csv")), plainCsv);
    EXPECT_EQ(first.at("clip").at("exposure_ms"), 0.5);
}

} // namespace

} // namespace twinlamp::tests
