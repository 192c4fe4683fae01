// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/file_result.h"
#include "core/session/store/merge_file.h"
#include "tests/core/session/session_samples.h"

#include <csignal>
#include <gtest/gtest.h>
#include <optional>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace twinlamp::session {
namespace {

namespace fs = std::filesystem;
using samples::Random;

/// The same edits in parent and child: settings named by their number, so that the state after any
/// count of them is known without asking the child.
Edit numberedEdit(const Session& session, int number)
{
    Conditions conditions;
    conditions.notes = std::string(2000, static_cast<char>('a' + number % 26));
    return addSetting(
        session, SettingId {number + 1}, "setting " + std::to_string(number), conditions)
        .value();
}

/// Applies edits from the session's present count on; tells each one that is acknowledged.
[[noreturn]] void editUntilKilled(const fs::path& path, int acknowledge)
{
    auto file
        = store::SessionFile::open(path, {store::OpenMode::Write, std::chrono::seconds(10), {}});
    if (!file) {
        ::_exit(3);
    }
    for (;;) {
        const int number = static_cast<int>(file->session().settings.size());
        if (!file->apply(numberedEdit(file->session(), number))) {
            ::_exit(4);
        }
        if (::write(acknowledge, &number, sizeof number) != static_cast<ssize_t>(sizeof number)) {
            ::_exit(5);
        }
    }
}

/// Number of the last edit that a child acknowledged before it was killed after `delay`.
int lastAcknowledged(const fs::path& path, std::chrono::microseconds delay)
{
    int ends[2] {};
    EXPECT_EQ(::pipe(ends), 0);
    const pid_t child = ::fork();
    if (child == 0) {
        ::close(ends[0]);
        editUntilKilled(path, ends[1]);
    }
    ::close(ends[1]);
    int last = -1;
    int number = 0;
    // The first one shows that the child is at work; from then on the time runs.
    if (::read(ends[0], &number, sizeof number) == static_cast<ssize_t>(sizeof number)) {
        last = number;
        std::this_thread::sleep_for(delay);
    }
    ::kill(child, SIGKILL);
    while (::read(ends[0], &number, sizeof number) == static_cast<ssize_t>(sizeof number)) {
        last = number;
    }
    ::close(ends[0]);
    int status = 0;
    EXPECT_EQ(::waitpid(child, &status, 0), child);
    EXPECT_TRUE(WIFSIGNALED(status)) << "the child ended by itself with " << WEXITSTATUS(status);
    return last;
}

/// The settings that the first `count` edits add.
std::vector<LinkSetting> numberedSettings(std::size_t count)
{
    Session session;
    while (session.settings.size() < count) {
        const Edit edit = numberedEdit(session, static_cast<int>(session.settings.size()));
        session.settings.push_back(*std::get<EntryChange<LinkSetting>>(edit.changes.front()).after);
    }
    return session.settings;
}

/// Kills a writer again and again; each time the file must hold what was acknowledged, whole.
void killRepeatedly(const fs::path& path, int kills, Random& random)
{
    std::uniform_int_distribution<int> delayUs(0, 8000);
    for (int kill = 0; kill < kills; ++kill) {
        const int last = lastAcknowledged(path, std::chrono::microseconds(delayUs(random)));
        ASSERT_GE(last, 0) << "kill " << kill;
        // The lock of the dead is free at once.
        const auto file = store::SessionFile::open(path, {store::OpenMode::Write, {}, {}});
        ASSERT_TRUE(file) << file.error().detail;
        // The edit in flight may have reached the disk before its word reached us.
        const auto acknowledged = static_cast<std::size_t>(last) + 1;
        ASSERT_GE(file->session().settings.size(), acknowledged) << "kill " << kill;
        ASSERT_LE(file->session().settings.size(), acknowledged + 1) << "kill " << kill;
        ASSERT_EQ(file->session().settings, numberedSettings(file->session().settings.size()))
            << "kill " << kill;
        ASSERT_EQ(file->history()->size(), file->session().settings.size()) << "kill " << kill;
    }
}

TEST(Crash, NothingAcknowledgedIsLostInTwoHundredKills)
{
    constexpr int sessions = 10;
    constexpr int kills = 20;
    Random random(99);
    for (int round = 0; round < sessions; ++round) {
        SCOPED_TRACE("session " + std::to_string(round));
        const samples::TemporaryFolder folder;
        ASSERT_TRUE(store::SessionFile::create(folder / "crash.twinlamp", "crash"));
        killRepeatedly(folder / "crash.twinlamp", kills, random);
        EXPECT_EQ(folder.names(), std::vector<std::string> {"crash.twinlamp"});
    }
}

/// A session of `clips` measured clips, for a merge that takes a while.
void makeCampaign(const fs::path& path, int clips, Random& random)
{
    auto file = store::SessionFile::create(path, "other").value();
    for (int number = 0; number < clips; ++number) {
        ClipResult result = samples::clipResult(random, 20, 3000);
        const std::string name = "clip " + std::to_string(number);
        ASSERT_TRUE(store::fileResult(
            file, {"wide", name, "clamp"}, path.parent_path() / name, std::move(result), {}));
    }
}

/// Merges in a child that is killed after `delay`, or as soon as it is done where none is given.
void mergeUntilKilled(
    const fs::path& path, const fs::path& other, std::optional<std::chrono::microseconds> delay)
{
    int ends[2] {};
    ASSERT_EQ(::pipe(ends), 0);
    const pid_t child = ::fork();
    if (child == 0) {
        auto here = store::SessionFile::open(path, {store::OpenMode::Write, {}, {}});
        const auto there = store::SessionFile::open(other, {store::OpenMode::ReadOnly, {}, {}});
        const bool done = here && there && store::mergeFile(*here, *there);
        const char word = done ? 'y' : 'n';
        if (::write(ends[1], &word, 1) != 1) {
            ::_exit(3);
        }
        ::pause();
    }
    ::close(ends[1]);
    char word = 0;
    if (delay) {
        std::this_thread::sleep_for(*delay);
    } else {
        EXPECT_EQ(::read(ends[0], &word, 1), 1);
        EXPECT_EQ(word, 'y');
    }
    ::kill(child, SIGKILL);
    ::close(ends[0]);
    int status = 0;
    EXPECT_EQ(::waitpid(child, &status, 0), child);
}

TEST(Crash, KilledMergeIsWholeOrHasNotBegun)
{
    Random random(5);
    const samples::TemporaryFolder folder;
    const fs::path path = folder / "here.twinlamp";
    const fs::path other = folder / "other.twinlamp";
    constexpr int clips = 20;
    makeCampaign(other, clips, random);
    int whole = 0;
    constexpr int kills = 40;
    // The first one is let finish: the others are killed at moments spread over the time it took.
    std::chrono::microseconds took {};
    for (int kill = 0; kill < kills; ++kill) {
        fs::remove(path);
        {
            auto fresh = store::SessionFile::create(path, "here").value();
            samples::mustApply(fresh, addSetting(fresh.session(), SettingId {1}, "narrow"));
        }
        const auto start = std::chrono::steady_clock::now();
        mergeUntilKilled(
            path, other, kill == 0 ? std::nullopt : std::optional(took * (kill - 1) / kills));
        if (kill == 0) {
            took = std::chrono::duration_cast<std::chrono::microseconds>(
                std::chrono::steady_clock::now() - start);
        }
        const auto file = store::SessionFile::open(path, {store::OpenMode::Write, {}, {}});
        ASSERT_TRUE(file) << file.error().detail;
        const std::size_t count = file->session().clips.size();
        ASSERT_TRUE(count == 0 || count == clips) << count << " clips after kill " << kill;
        ASSERT_EQ(file->session().settings.size(), count == 0 ? 1U : 2U);
        ASSERT_EQ(file->history()->size(), count == 0 ? 1U : 2U + clips);
        whole += count == clips ? 1 : 0;
    }
    EXPECT_GT(whole, 0) << "no merge was ever finished: the test proves little";
    EXPECT_LT(whole, kills) << "no merge was ever cut short: the test proves little";
}

TEST(Crash, ReaderSeesWhatAKilledWriterAcknowledged)
{
    const samples::TemporaryFolder folder;
    const fs::path path = folder / "crash.twinlamp";
    ASSERT_TRUE(store::SessionFile::create(path, "crash"));
    const int last = lastAcknowledged(path, std::chrono::milliseconds(20));
    const auto reader = store::SessionFile::open(path, {store::OpenMode::ReadOnly, {}, {}});
    ASSERT_TRUE(reader) << reader.error().detail;
    EXPECT_GE(static_cast<int>(reader->session().settings.size()), last + 1);
}

} // namespace
} // namespace twinlamp::session
