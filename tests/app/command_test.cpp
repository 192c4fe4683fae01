// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/command.h"
#include "app/commands/output_file.h"
#include "app/commands/progress_line.h"
#include "tests/support/file_content.h"
#include "tests/support/temporary_folder.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sstream>

namespace twinlamp::commands {

namespace {

using testing::HasSubstr;
using tests::contentOf;

struct Streams
{
    std::ostringstream out;
    std::ostringstream err;
    std::stop_source stop;

    CommandContext context(bool showProgress = false)
    {
        return {out, err, stop.get_token(), showProgress};
    }
};

TEST(OnOneLine, LeavesNothingThatATerminalWouldObey)
{
    EXPECT_EQ(onOneLine("a\r\nb\tc"), "a  b c");
    EXPECT_EQ(onOneLine("clip\x1b[31m\x07\x7f.mp4"), "clip?[31m??.mp4");
    // Names beyond ASCII stay as they are, whole or not.
    EXPECT_EQ(onOneLine("\xc3\xbc\xff.mp4"), "\xc3\xbc\xff.mp4");
}

TEST(ExitStatus, IsTheContractsNumber)
{
    EXPECT_EQ(static_cast<int>(ExitStatus::Done), 0);
    EXPECT_EQ(static_cast<int>(ExitStatus::WrongWords), 2);
    EXPECT_EQ(static_cast<int>(ExitStatus::Unreadable), 3);
    EXPECT_EQ(static_cast<int>(ExitStatus::NothingFound), 4);
    EXPECT_EQ(static_cast<int>(ExitStatus::NotWritten), 5);
}

TEST(ExitStatus, FollowsTheCause)
{
    const auto of = [](Stage where, Cause why) { return exitStatusOf({where, why, ""}); };
    EXPECT_EQ(of(Stage::Measure, Cause::NeedsCaptureRate), ExitStatus::WrongWords);
    EXPECT_EQ(of(Stage::Measure, Cause::InvalidValue), ExitStatus::WrongWords);
    EXPECT_EQ(of(Stage::Session, Cause::InvalidValue), ExitStatus::WrongWords);
    EXPECT_EQ(of(Stage::Film, Cause::InvalidValue), ExitStatus::Unreadable);
    EXPECT_EQ(of(Stage::Footage, Cause::NotAVideo), ExitStatus::Unreadable);
    EXPECT_EQ(of(Stage::Session, Cause::NewerVersion), ExitStatus::Unreadable);
    EXPECT_EQ(of(Stage::Measure, Cause::NotLocated), ExitStatus::NothingFound);
    EXPECT_EQ(of(Stage::Measure, Cause::NoPress), ExitStatus::NothingFound);
    EXPECT_EQ(of(Stage::Session, Cause::Busy), ExitStatus::NotWritten);
    EXPECT_EQ(of(Stage::Command, Cause::WriteFailed), ExitStatus::NotWritten);
}

TEST(ErrorLine, StaysOneLineWhateverTheReasonHolds)
{
    Streams streams;
    const auto status = reportError(
        streams.context(), {Stage::Footage, Cause::Damaged, "first\nsecond\r\nthird"});
    EXPECT_EQ(status, ExitStatus::Unreadable);
    EXPECT_EQ(streams.err.str(), "twinlamp: first second  third\n");
    EXPECT_TRUE(streams.out.str().empty());
}

TEST(ProgressLine, IsSilentWhereNobodyLooks)
{
    Streams streams;
    {
        const CommandContext context = streams.context(false);
        ProgressLine progress(context, "measuring, frames");
        EXPECT_TRUE(progress.control().tick(1, 10));
    }
    EXPECT_TRUE(streams.err.str().empty());
}

TEST(ProgressLine, ShowsShareAndWipesItself)
{
    Streams streams;
    {
        const CommandContext context = streams.context(true);
        ProgressLine progress(context, "measuring, frames");
        EXPECT_TRUE(progress.control().tick(3, 12));
        EXPECT_THAT(streams.err.str(), testing::EndsWith("measuring, frames: 3 of 12 (25 %)"));
    }
    EXPECT_THAT(streams.err.str(), testing::EndsWith("\r\x1b[K"));
}

TEST(ProgressLine, DoesNotFloodTheTerminal)
{
    Streams streams;
    const CommandContext context = streams.context(true);
    ProgressLine progress(context, "frames");
    const JobControl control = progress.control();
    for (int i = 0; i < 100'000; ++i) {
        ASSERT_TRUE(control.tick(i, 100'000));
    }
    // One update is below 40 characters; a tenth of a second apart, even a slow machine shows few.
    EXPECT_LT(streams.err.str().size(), 100U * 40U);
}

TEST(ProgressLine, CarriesTheStopOfItsContext)
{
    Streams streams;
    const CommandContext context = streams.context(true);
    ProgressLine progress(context, "frames");
    streams.stop.request_stop();
    EXPECT_FALSE(progress.control().tick(0, 0));
}

TEST(Output, DashIsStandardOutput)
{
    Streams streams;
    ASSERT_TRUE(writeOutput(streams.context(), "-", "text\n").has_value());
    EXPECT_EQ(streams.out.str(), "text\n");
}

TEST(Output, FileIsReplacedWhole)
{
    const tests::TemporaryFolder folder;
    const auto file = folder.path() / "out.json";
    Streams streams;
    ASSERT_TRUE(writeOutput(streams.context(), file.string(), "a long first text\n").has_value());
    ASSERT_TRUE(writeOutput(streams.context(), file.string(), "second\n").has_value());
    EXPECT_EQ(contentOf(file), "second\n");
    EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder.path()), {}), 1)
        << "nothing is left beside the result";
}

TEST(Output, MissingFolderIsNamed)
{
    const tests::TemporaryFolder folder;
    Streams streams;
    const auto written
        = writeOutput(streams.context(), (folder.path() / "missing" / "out.json").string(), "text");
    ASSERT_FALSE(written.has_value());
    EXPECT_EQ(exitStatusOf(written.error()), ExitStatus::NotWritten);
    EXPECT_THAT(written.error().detail, HasSubstr("missing/out.json"));
}

TEST(Output, BrokenStreamIsAnError)
{
    Streams streams;
    streams.out.setstate(std::ios::badbit);
    const auto written = writeOutput(streams.context(), "-", "text");
    ASSERT_FALSE(written.has_value());
    EXPECT_EQ(exitStatusOf(written.error()), ExitStatus::NotWritten);
}

} // namespace

} // namespace twinlamp::commands
