// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/clip_files.h"
#include "core/session/edit.h"
#include "core/session/store/file_result.h"
#include "tests/core/session/session_samples.h"

#include <fstream>
#include <gtest/gtest.h>

namespace twinlamp::session::store {
namespace {

class FileResultTest : public ::testing::Test
{
protected:
    FileResultTest()
        : m_file(std::move(*SessionFile::create(m_folder / "bench.twinlamp", "bench")))
    {
        std::ofstream(m_folder / "one.mp4") << "footage";
    }

    ClipResult result(const std::string& sha256, int presses = 4)
    {
        ClipResult made = samples::clipResult(m_random, presses, 50);
        made.clip.sha256 = sha256;
        return made;
    }

    Result<ClipId> fileUnder(
        const char* setting, const char* run, const std::string& sha256, int presses = 4)
    {
        return fileResult(
            m_file, {setting, run}, m_folder / "one.mp4", result(sha256, presses), {});
    }

    samples::TemporaryFolder m_folder;
    samples::Random m_random {77};
    SessionFile m_file;
};

TEST_F(FileResultTest, SettingAndRunAreMadeWhenAbsent)
{
    const auto id = fileUnder("narrow", "", "aa");
    ASSERT_TRUE(id) << id.error().detail;
    const Session& session = m_file.session();
    ASSERT_EQ(session.settings.size(), 1U);
    EXPECT_EQ(session.settings[0].name, "narrow");
    ASSERT_EQ(session.runs.size(), 1U);
    EXPECT_EQ(session.runs[0].name, firstRunName);
    const Clip* clip = find(session, *id);
    ASSERT_NE(clip, nullptr);
    EXPECT_EQ(clip->file.relativePath, "one.mp4");
    EXPECT_EQ(clip->file.sha256, "aa");
    EXPECT_EQ(clip->file.sizeBytes, 7);
    EXPECT_EQ(clip->measurement->presses.size(), 4U);
    EXPECT_EQ((*m_file.traces(clip->measurement->traces))->frameCount(), 50U);
}

TEST_F(FileResultTest, SameClipInTheSameSettingIsReplaced)
{
    const auto first = fileUnder("narrow", "cold start", "aa", 4);
    const auto second = fileUnder("narrow", "", "aa", 7);
    ASSERT_TRUE(first && second);
    EXPECT_EQ(*first, *second);
    ASSERT_EQ(m_file.session().clips.size(), 1U);
    EXPECT_EQ(m_file.session().clips[0].measurement->presses.size(), 7U);
    EXPECT_EQ(m_file.session().runs.size(), 1U) << "it stays in its run";
}

// The window files a clip before anything has read it, so it has no hash yet.
TEST_F(FileResultTest, ClipThatWasFiledUnreadIsTheSame)
{
    const auto first = fileUnder("narrow", "cold start", "aa", 4);
    ASSERT_TRUE(first);
    const Clip* read = find(m_file.session(), *first);
    Clip unread;
    unread.id = newId<ClipId>();
    unread.run = read->run;
    unread.file = clipFileFor(m_folder / "two.mp4", m_file.path(), "", 0);
    ASSERT_TRUE(m_file.apply(*addClip(m_file.session(), unread)));
    std::ofstream(m_folder / "two.mp4") << "more footage";
    const auto filed
        = fileResult(m_file, {"narrow", ""}, m_folder / "two.mp4", result("bb", 5), {});
    ASSERT_TRUE(filed) << filed.error().detail;
    EXPECT_EQ(*filed, unread.id);
    ASSERT_EQ(m_file.session().clips.size(), 2U);
    EXPECT_EQ(find(m_file.session(), *filed)->file.sha256, "bb");
    // Another file of the same folder stays another clip.
    std::ofstream(m_folder / "three.mp4") << "footage";
    ASSERT_TRUE(fileResult(m_file, {"narrow", ""}, m_folder / "three.mp4", result("cc"), {}));
    EXPECT_EQ(m_file.session().clips.size(), 3U);
}

TEST_F(FileResultTest, SameClipWithAnotherRunNamedMovesThere)
{
    const auto first = fileUnder("narrow", "run 1", "aa");
    ASSERT_TRUE(fileUnder("narrow", "run 2", "aa"));
    const Clip* clip = find(m_file.session(), *first);
    EXPECT_EQ(find(m_file.session(), clip->run)->name, "run 2");
}

TEST_F(FileResultTest, SameClipInAnotherSettingIsRefused)
{
    ASSERT_TRUE(fileUnder("narrow", "", "aa"));
    const Session before = m_file.session();
    const auto refused = fileUnder("wide", "", "aa");
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().why, Cause::InvalidValue);
    EXPECT_EQ(refused.error().detail,
        "the same clip is filed under \"narrow\" already, not under \"wide\"; name that setting, "
        "or move the clip in the window");
    EXPECT_EQ(m_file.session(), before) << "and no setting was made";
}

TEST_F(FileResultTest, OtherClipsOfOneSettingShareIt)
{
    ASSERT_TRUE(fileUnder("narrow", "run 1", "aa"));
    ASSERT_TRUE(fileUnder("narrow", "run 1", "bb"));
    ASSERT_TRUE(fileUnder("narrow", "run 2", "cc"));
    EXPECT_EQ(m_file.session().settings.size(), 1U);
    EXPECT_EQ(m_file.session().runs.size(), 2U);
    EXPECT_EQ(m_file.session().clips.size(), 3U);
}

TEST_F(FileResultTest, SettingNeedsAName)
{
    EXPECT_EQ(fileUnder("", "", "aa").error().why, Cause::InvalidValue);
    EXPECT_TRUE(m_file.session().clips.empty());
}

TEST_F(FileResultTest, ReadOnlySessionTakesNothing)
{
    ASSERT_TRUE(m_file.close());
    EXPECT_EQ(fileUnder("narrow", "", "aa").error().why, Cause::NoAccess);
}

} // namespace
} // namespace twinlamp::session::store
