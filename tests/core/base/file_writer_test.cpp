// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/file_writer.h"
#include "tests/support/temporary_folder.h"

#include <fstream>
#include <gtest/gtest.h>
#include <iterator>
#include <sys/stat.h>
#include <unistd.h>

namespace twinlamp {
namespace {

namespace fs = std::filesystem;

std::string textOf(const fs::path& file)
{
    std::ifstream stream(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

TEST(WriteFileAside, WritesAndReplacesLeavingOneFile)
{
    const tests::TemporaryFolder folder;
    const std::string bytes("a\0b\r\n", 5);
    ASSERT_TRUE(writeFileAside(folder / "out.json", "old"));
    ASSERT_TRUE(writeFileAside(folder / "out.json", bytes));
    EXPECT_EQ(textOf(folder / "out.json"), bytes);
    EXPECT_EQ(folder.names(), std::vector<std::string> {"out.json"});
}

TEST(WriteFileAside, IsAnOrdinaryFileUnderTheUmask)
{
    const tests::TemporaryFolder folder;
    const ::mode_t before = ::umask(027);
    ASSERT_TRUE(writeFileAside(folder / "out.json", "x"));
    ::umask(before);

    struct stat status
    {
    };

    ASSERT_EQ(::stat((folder / "out.json").c_str(), &status), 0);
    EXPECT_EQ(status.st_mode & 0777U, 0640U);
}

TEST(WriteFileAside, LinkKeepsPointing)
{
    const tests::TemporaryFolder folder;
    ASSERT_TRUE(writeFileAside(folder / "real.json", "old"));
    fs::create_symlink("real.json", folder / "link.json");
    ASSERT_TRUE(writeFileAside(folder / "link.json", "new"));
    EXPECT_TRUE(fs::is_symlink(folder / "link.json"));
    EXPECT_EQ(textOf(folder / "real.json"), "new");
}

TEST(WriteFileAside, FailureNamesTheFileAndLeavesNothing)
{
    const tests::TemporaryFolder folder;
    fs::create_directory(folder / "folder");
    for (const char* name : {"folder", "no/such/out.json"}) {
        const Result<void> written = writeFileAside(folder / name, "x", Stage::Report);
        ASSERT_FALSE(written);
        EXPECT_EQ(written.error().why, Cause::WriteFailed);
        EXPECT_EQ(written.error().where, Stage::Report);
        EXPECT_NE(written.error().detail.find((folder / name).string()), std::string::npos);
    }
    EXPECT_EQ(folder.names(), std::vector<std::string> {"folder"});
}

TEST(WriteFileAside, DevicesAreWrittenInto)
{
    EXPECT_TRUE(writeFileAside("/dev/null", "x"));
    EXPECT_TRUE(fs::is_character_file("/dev/null"));
    EXPECT_FALSE(writeFileAside("/dev/full", "x")) << "the disk is full";
}

} // namespace
} // namespace twinlamp
