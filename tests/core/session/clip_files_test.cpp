// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/clip_files.h"
#include "tests/core/session/session_samples.h"

#include <fstream>
#include <gtest/gtest.h>

namespace twinlamp::session {
namespace {

namespace fs = std::filesystem;

void put(const fs::path& file, const std::string& text)
{
    fs::create_directories(file.parent_path());
    std::ofstream(file) << text;
}

bool textIsHash(const fs::path& file, const std::string& sha256)
{
    std::string text;
    std::getline(std::ifstream(file) >> std::ws, text);
    return text == sha256;
}

TEST(ClipFileFor, PathStartsAtTheSession)
{
    const ClipFile file = clipFileFor("/bench/clips/a.mp4", "/bench/sessions/x.twinlamp", "aa", 7);
    EXPECT_EQ(file.relativePath, "../clips/a.mp4");
    EXPECT_EQ(file.absolutePath, "/bench/clips/a.mp4");
    EXPECT_EQ(file.sha256, "aa");
    EXPECT_EQ(file.sizeBytes, 7);
}

TEST(Rebased, FollowsTheSessionToAnotherFolder)
{
    const ClipFile file = clipFileFor("/bench/clips/a.mp4", "/bench/x.twinlamp", "", 0);
    EXPECT_EQ(
        rebased(file, "/bench/x.twinlamp", "/bench/old/y.twinlamp").relativePath, "../clips/a.mp4");
}

TEST(FindClipFile, WholeFolderMovedIsFoundByItsRelativePath)
{
    const samples::TemporaryFolder folder;
    put(folder / "new/clips/a.mp4", "aa");
    const ClipFile file {"clips/a.mp4", (folder / "old/clips/a.mp4").string(), "aa", 2};
    EXPECT_EQ(findClipFile(file, folder / "new/x.twinlamp", textIsHash),
        fs::path(folder / "new/clips/a.mp4"));
}

TEST(FindClipFile, SessionMovedAloneIsFoundByTheAbsolutePath)
{
    const samples::TemporaryFolder folder;
    put(folder / "clips/a.mp4", "aa");
    const ClipFile file {"../clips/a.mp4", (folder / "clips/a.mp4").string(), "aa", 2};
    EXPECT_EQ(findClipFile(file, folder / "x/y/z/x.twinlamp", textIsHash),
        fs::path(folder / "clips/a.mp4"));
}

TEST(FindClipFile, ClipBesideTheSessionIsFoundByName)
{
    const samples::TemporaryFolder folder;
    put(folder / "a.mp4", "aa");
    const ClipFile file {"clips/a.mp4", "/gone/a.mp4", "aa", 0};
    EXPECT_EQ(findClipFile(file, folder / "x.twinlamp", textIsHash), fs::path(folder / "a.mp4"));
}

TEST(FindClipFile, OtherContentUnderTheSameNameIsNotTheClip)
{
    const samples::TemporaryFolder folder;
    put(folder / "clips/a.mp4", "bb");
    put(folder / "a.mp4", "aa");
    const ClipFile file {"clips/a.mp4", "/gone/a.mp4", "aa", 2};
    EXPECT_EQ(findClipFile(file, folder / "x.twinlamp", textIsHash), fs::path(folder / "a.mp4"));
    fs::remove(folder / "a.mp4");
    EXPECT_EQ(findClipFile(file, folder / "x.twinlamp", textIsHash), std::nullopt);
}

TEST(ClipFileCandidates, OtherSizesAndFoldersAreLeftOut)
{
    const samples::TemporaryFolder folder;
    put(folder / "clips/a.mp4", "longer");
    fs::create_directories(folder / "a.mp4");
    const ClipFile file {"clips/a.mp4", "/gone/a.mp4", "", 2};
    EXPECT_TRUE(clipFileCandidates(file, folder / "x.twinlamp").empty());
}

} // namespace
} // namespace twinlamp::session
