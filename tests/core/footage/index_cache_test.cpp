// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/index_cache.h"
#include "tests/core/footage/clips.h"

#include <cstdlib>
#include <fstream>
#include <gtest/gtest.h>
#include <optional>

namespace twinlamp::tests {

namespace {

namespace fs = std::filesystem;

class IndexCache : public testing::Test
{
protected:
    [[nodiscard]] footage::ClipIndex index() const
    {
        auto result = footage::indexClip(m_clip, m_cache.path(), {});
        EXPECT_TRUE(result.hasValue());
        return std::move(result).value();
    }

    [[nodiscard]] std::vector<fs::path> kept() const
    {
        return {fs::directory_iterator(m_cache.path()), fs::directory_iterator()};
    }

    TemporaryFolder m_folder;
    TemporaryFolder m_cache;
    fs::path m_clip = makeClip(m_folder, "a.mkv",
        movingPicture(20, "240", "64x64") + Arguments {"-c:v", "libx264", "-pix_fmt", "yuv420p"});
};

TEST_F(IndexCache, KeepsOneWholeFilePerClip)
{
    const footage::ClipIndex made = index();
    ASSERT_EQ(kept().size(), 1U);
    EXPECT_EQ(kept().front().extension(), ".index");
    EXPECT_EQ(index(), made);
    EXPECT_EQ(kept().size(), 1U);
}

TEST_F(IndexCache, IsReadInsteadOfTheClip)
{
    footage::ClipIndex marked = index();
    marked.notes.push_back({"kept", {"once"}});
    footage::storeIndex(m_cache.path(), footage::indexCacheKey(m_clip).value(), marked);
    EXPECT_EQ(index().notes, marked.notes);
}

TEST_F(IndexCache, IsMadeAgainWhereItIsDamaged)
{
    const footage::ClipIndex made = index();
    const fs::path file = kept().front();
    const auto size = fs::file_size(file);
    {
        std::fstream stream(file, std::ios::binary | std::ios::in | std::ios::out);
        stream.seekp(static_cast<std::streamoff>(size / 2));
        stream.put('\x7f');
        stream.put('\x7f');
    }
    EXPECT_EQ(index(), made);
    fs::resize_file(file, size / 3);
    EXPECT_EQ(index(), made);
    EXPECT_EQ(fs::file_size(file), size);
}

TEST_F(IndexCache, DoesNotTakeAChangedClipForTheOldOne)
{
    const auto before = footage::indexCacheKey(m_clip);
    const auto time = fs::last_write_time(m_clip);
    spoil(m_clip, 600, 700, 3);
    fs::last_write_time(m_clip, time);
    EXPECT_NE(footage::indexCacheKey(m_clip), before) << "same size and time, other bytes";
    const auto spoiled = footage::indexCacheKey(m_clip);
    fs::last_write_time(m_clip, time + std::chrono::seconds(1));
    EXPECT_NE(footage::indexCacheKey(m_clip), spoiled) << "same bytes, other time";
}

TEST_F(IndexCache, GivesAMovedClipItsNewName)
{
    const footage::ClipIndex made = index();
    const fs::path moved = m_folder.path() / "moved.mkv";
    fs::rename(m_clip, moved);
    const auto again = footage::indexClip(moved, m_cache.path(), {});
    ASSERT_TRUE(again.hasValue());
    EXPECT_EQ(kept().size(), 1U);
    EXPECT_EQ(again.value().info.file, moved.string());
    EXPECT_EQ(again.value().entries, made.entries);
}

TEST_F(IndexCache, IsDoneWithoutWhereItCannotBeWritten)
{
    const fs::path notAFolder = m_folder.path() / "file";
    std::ofstream(notAFolder) << "x";
    EXPECT_TRUE(footage::indexClip(m_clip, notAFolder / "below", {}).hasValue());
}

TEST_F(IndexCache, SurvivesPackingWithEveryField)
{
    footage::ClipIndex full = index();
    full.info.file.clear(); // the caller knows the path; it is not kept
    full.info.taggedCaptureRate = FrameRate {5994, 25};
    full.info.taggedReadOutUs = 15'500.25;
    full.info.colour = {9, 18, 9, true};
    full.info.orientation.rotationDeg = 270;
    full.matchByPosition = true;
    full.notes = {{"clip-truncated", {"12"}}, {"stamps-uneven", {}}};
    EXPECT_EQ(footage::unpackIndex(footage::packIndex(full)), full);
    EXPECT_EQ(footage::unpackIndex({}), std::nullopt);
}

class DefaultCacheFolder : public testing::Test
{
protected:
    void SetUp() override
    {
        m_cacheHome = valueOf("XDG_CACHE_HOME");
        m_home = valueOf("HOME");
    }

    void TearDown() override
    {
        set("XDG_CACHE_HOME", m_cacheHome);
        set("HOME", m_home);
    }

    static std::optional<std::string> valueOf(const char* name)
    {
        const char* value = std::getenv(name);
        return value != nullptr ? std::optional<std::string>(value) : std::nullopt;
    }

    static void set(const char* name, const std::optional<std::string>& value)
    {
        value ? ::setenv(name, value->c_str(), 1) : ::unsetenv(name);
    }

    std::optional<std::string> m_cacheHome;
    std::optional<std::string> m_home;
};

TEST_F(DefaultCacheFolder, FollowsTheBaseDirectories)
{
    set("XDG_CACHE_HOME", "/somewhere/cache");
    EXPECT_EQ(footage::defaultIndexCacheFolder(), "/somewhere/cache/twinlamp/index");
    set("XDG_CACHE_HOME", "relative");
    set("HOME", "/home/tester");
    EXPECT_EQ(footage::defaultIndexCacheFolder(), "/home/tester/.cache/twinlamp/index");
    set("HOME", std::nullopt);
    EXPECT_TRUE(footage::defaultIndexCacheFolder().empty());
}

TEST(Sha256OfFile, IsThatOfThePublishedExample)
{
    const TemporaryFolder folder;
    const fs::path file = folder.path() / "abc";
    std::ofstream(file) << "abc";
    const auto sum = footage::sha256OfFile(file, {});
    ASSERT_TRUE(sum.hasValue());
    // FIPS 180-2, appendix B.1.
    EXPECT_EQ(sum.value(), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

TEST(Sha256OfFile, TellsWhatIsWrong)
{
    const TemporaryFolder folder;
    const auto missing = footage::sha256OfFile(folder.path() / "none.mp4", {});
    ASSERT_TRUE(missing.isError());
    EXPECT_EQ(missing.error().why, Cause::NotFound);
    EXPECT_TRUE(footage::sha256OfFile(folder.path(), {}).isError());
    std::stop_source stop;
    stop.request_stop();
    const fs::path file = folder.path() / "abc";
    std::ofstream(file) << "abc";
    EXPECT_TRUE(footage::sha256OfFile(file, {stop.get_token(), {}}).isCancelled());
}

} // namespace

} // namespace twinlamp::tests
