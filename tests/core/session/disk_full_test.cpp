// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/merge_file.h"
#include "tests/core/session/full_disk.h"
#include "tests/core/session/session_samples.h"
#include "tests/support/file_content.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <csignal>
#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <limits>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace twinlamp::session::store {
namespace {

namespace fs = std::filesystem;
using samples::FullDisk;
using testing::AllOf;
using testing::HasSubstr;

constexpr std::int64_t plenty = std::numeric_limits<std::int32_t>::max();

Session onDisk(const fs::path& file)
{
    const auto reader = SessionFile::open(file, {OpenMode::ReadOnly, {}, {}});
    EXPECT_TRUE(reader) << reader.error().detail;
    return reader ? reader->session() : Session {};
}

class DiskFull : public testing::Test
{
protected:
    [[nodiscard]] fs::path path() const { return m_folder / "bench.twinlamp"; }

    samples::TemporaryFolder m_folder;
    samples::Random m_random {12};
};

auto saysWhatToDo(const fs::path& file)
{
    return AllOf(HasSubstr(file.filename().string()), HasSubstr("cannot be written"),
        HasSubstr("check the disk and the room on it"));
}

/// Whatever room there is: changes are acknowledged until it is used up, the one that fails says
/// so and changes nothing, what was acknowledged is on disk, and with room again the session goes
/// on.
TEST_F(DiskFull, AtAnyAmountOfRoomNothingAcknowledgedIsLost)
{
    const FullDisk disk(plenty);
    int failures = 0;
    for (std::int64_t roomBytes = 0; roomBytes < 400'000; roomBytes += 9'973) {
        SCOPED_TRACE("room for " + std::to_string(roomBytes) + " bytes");
        FullDisk::setRoom(plenty);
        fs::remove(path());
        auto file = SessionFile::create(path(), "bench");
        ASSERT_TRUE(file) << file.error().detail;
        const auto measurements = samples::keptMeasurements(*file, m_random, 2);
        for (int i = 0; i < 20; ++i) {
            ASSERT_TRUE(file->apply(samples::randomEdit(file->session(), m_random, measurements)));
        }
        FullDisk::setRoom(roomBytes);
        Result<void> done;
        for (int i = 0; i < 400 && done; ++i) {
            const Session before = file->session();
            done = file->apply(samples::randomEdit(before, m_random, measurements));
            if (!done) {
                ++failures;
                EXPECT_EQ(done.error().why, Cause::WriteFailed);
                EXPECT_THAT(done.error().detail, saysWhatToDo(path()));
                EXPECT_EQ(file->session(), before);
            }
        }
        const Session acknowledged = file->session();
        EXPECT_EQ(onDisk(path()), acknowledged);
        FullDisk::setRoom(plenty);
        ASSERT_TRUE(file->apply(
            addSetting(file->session(), newId<SettingId>(), "with room again").value()));
        const Session left = file->session();
        ASSERT_TRUE(file->close());
        EXPECT_EQ(onDisk(path()), left);
    }
    EXPECT_GT(failures, 20) << "the room was never used up: the test proves nothing";
}

TEST_F(DiskFull, ClosingWithoutRoomKeepsEverything)
{
    Session left;
    {
        const FullDisk disk(plenty);
        auto file = SessionFile::create(path(), "bench");
        ASSERT_TRUE(file);
        for (int i = 0; i < 50; ++i) {
            samples::mustApply(*file,
                addSetting(file->session(), newId<SettingId>(), "setting " + std::to_string(i),
                    samples::conditions(m_random)));
        }
        left = file->session();
        FullDisk::setRoom(0);
        const Result<void> closed = file->close();
        EXPECT_FALSE(closed);
        EXPECT_THAT(closed.error().detail, saysWhatToDo(path()));
    }
    EXPECT_EQ(onDisk(path()), left);
    const auto again = SessionFile::open(path(), {OpenMode::Write, {}, {}});
    ASSERT_TRUE(again) << again.error().detail;
    EXPECT_EQ(again->session(), left);
}

TEST_F(DiskFull, NewSessionWithoutRoomLeavesNoFile)
{
    const FullDisk disk(2000);
    const auto file = SessionFile::create(path(), "bench");
    ASSERT_FALSE(file);
    EXPECT_EQ(file.error().why, Cause::WriteFailed);
    EXPECT_THAT(file.error().detail, saysWhatToDo(path()));
    EXPECT_EQ(m_folder.names(), std::vector<std::string> {});
}

TEST_F(DiskFull, OldSessionThatCannotBeMigratedStaysAsItIs)
{
    std::ifstream dump(fs::path(TWINLAMP_SESSION_DUMPS) / "version_2.sql");
    const std::string sql(std::istreambuf_iterator<char>(dump), {});
    SQLite::Database(path().string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE).exec(sql);
    const auto content = tests::contentOf(path());
    {
        const FullDisk disk(100);
        const auto file = SessionFile::open(path(), {OpenMode::Write, {}, {}});
        ASSERT_FALSE(file);
        EXPECT_EQ(file.error().why, Cause::WriteFailed);
        EXPECT_THAT(file.error().detail, saysWhatToDo(path()));
    }
    EXPECT_EQ(tests::contentOf(path()), content);
    const auto file = SessionFile::open(path(), {OpenMode::Write, {}, {}});
    ASSERT_TRUE(file) << file.error().detail;
    EXPECT_EQ(file->session().clips.size(), 3U);
}

TEST_F(DiskFull, TracesCopiesAndMergesFailWhole)
{
    const FullDisk disk(plenty);
    auto file = SessionFile::create(path(), "bench").value();
    auto other = SessionFile::create(m_folder / "other.twinlamp", "other").value();
    const auto measurements = samples::keptMeasurements(other, m_random, 3);
    for (int i = 0; i < 150; ++i) {
        ASSERT_TRUE(other.apply(samples::randomEdit(other.session(), m_random, measurements)));
    }
    samples::mustApply(file, addSetting(file.session(), newId<SettingId>(), "narrow"));
    const Session before = file.session();
    const auto history = file.history().value();
    for (const std::int64_t roomBytes : {0, 5'000, 20'000, 50'000}) {
        SCOPED_TRACE(roomBytes);
        FullDisk::setRoom(roomBytes);
        const auto merged = mergeFile(file, other);
        ASSERT_FALSE(merged);
        EXPECT_EQ(merged.error().why, Cause::WriteFailed);
        EXPECT_THAT(merged.error().detail, saysWhatToDo(path()));
        EXPECT_EQ(file.session(), before);
        EXPECT_EQ(onDisk(path()), before);
        EXPECT_EQ(file.history().value(), history);
        const auto kept = file.keep(samples::clipResult(m_random, 40, 60'000), {});
        EXPECT_EQ(kept.error().why, Cause::WriteFailed);
        const auto copied = other.copyTo(m_folder / "copy.twinlamp");
        EXPECT_EQ(copied.error().why, Cause::WriteFailed);
        EXPECT_FALSE(fs::exists(m_folder / "copy.twinlamp"));
        EXPECT_FALSE(fs::exists(m_folder / "copy.twinlamp.part"));
    }
    FullDisk::setRoom(plenty);
    EXPECT_TRUE(mergeFile(file, other));
    EXPECT_TRUE(other.copyTo(m_folder / "copy.twinlamp"));
}

/// The same with a limit that the system itself sets, in a process of its own.
TEST_F(DiskFull, LimitOfTheSystemIsTheSameSentence)
{
    ASSERT_TRUE(SessionFile::create(path(), "bench"));
    const pid_t child = ::fork();
    if (child == 0) {
        std::signal(SIGXFSZ, SIG_IGN);
        auto file = SessionFile::open(path(), {OpenMode::Write, {}, {}});
        constexpr rlim_t largest = 2'000'000;
        const rlimit limit {largest, largest};
        if (!file || ::setrlimit(RLIMIT_FSIZE, &limit) != 0) {
            ::_exit(2);
        }
        for (int i = 0; i < 2000; ++i) {
            const auto edit = addSetting(file->session(), SettingId {i + 1},
                "setting " + std::to_string(i), samples::conditions(m_random));
            const auto done = file->apply(*edit);
            if (!done) {
                const bool says = done.error().detail.find("cannot be written") != std::string::npos
                    && done.error().why == Cause::WriteFailed;
                ::_exit(says ? (i > 20 ? 0 : 3) : 4);
            }
        }
        ::_exit(5);
    }
    int status = 0;
    ASSERT_EQ(::waitpid(child, &status, 0), child);
    ASSERT_TRUE(WIFEXITED(status));
    EXPECT_EQ(WEXITSTATUS(status), 0);
    const auto again = SessionFile::open(path(), {OpenMode::Write, {}, {}});
    ASSERT_TRUE(again) << again.error().detail;
    EXPECT_GT(again->session().settings.size(), 20U);
}

} // namespace
} // namespace twinlamp::session::store
