// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/container_extent.h"
#include "tests/core/footage/clips.h"

#include <fstream>
#include <gtest/gtest.h>

namespace twinlamp::tests {

namespace {

namespace fs = std::filesystem;

class AnnouncedBytes : public testing::Test
{
protected:
    [[nodiscard]] fs::path write(const std::string& bytes) const
    {
        const fs::path file = m_folder.path() / "boxes";
        std::ofstream(file, std::ios::binary) << bytes;
        return file;
    }

    TemporaryFolder m_folder;
};

TEST_F(AnnouncedBytes, AreTheSizeOfAWholeFile)
{
    for (const char* name : {"a.mp4", "a.mov", "a.mkv", "a.webm", "a.avi"}) {
        const Arguments coding = std::string(name) == "a.webm"
            ? Arguments {"-c:v", "libvpx-vp9", "-cpu-used", "8", "-deadline", "realtime"}
            : Arguments {"-c:v", "mjpeg"};
        const fs::path clip = makeClip(m_folder, name, movingPicture(5, "30", "64x64") + coding);
        EXPECT_EQ(footage::announcedBytes(clip), static_cast<std::int64_t>(fs::file_size(clip)))
            << name;
        fs::resize_file(clip, fs::file_size(clip) - 10);
        EXPECT_EQ(
            footage::announcedBytes(clip), static_cast<std::int64_t>(fs::file_size(clip)) + 10)
            << name;
    }
}

TEST_F(AnnouncedBytes, ReadBoxesOfLargeAndOfOpenSize)
{
    using namespace std::string_literals;
    const std::string start = "\0\0\0\x10"s
                              "ftypisom\0\0\0\0"s;
    EXPECT_EQ(footage::announcedBytes(write(start)), 16);
    // 64-bit size 5 000 000 000: 0x12A05F200.
    EXPECT_EQ(footage::announcedBytes(write(start
                  + "\0\0\0\x01"s
                    "mdat"s
                    "\0\0\0\x01\x2a\x05\xf2\0"s)),
        16 + 5'000'000'000);
    EXPECT_EQ(footage::announcedBytes(write(start
                  + "\0\0\0\0"s
                    "mdat"s
                    "data")),
        std::nullopt);
    EXPECT_EQ(footage::announcedBytes(write(start
                  + "\0\0\0\x03"s
                    "mdat"s)),
        std::nullopt);
}

TEST_F(AnnouncedBytes, AreUnknownWhereABoxEndsBeyondAnyFile)
{
    using namespace std::string_literals;
    // 2^63 - 1 bytes, counted from byte 16: no 64-bit number holds its end.
    EXPECT_EQ(footage::announcedBytes(write("\0\0\0\x10"s
                                            "ftypisom\0\0\0\0"s
                                            "\0\0\0\x01"s
                                            "mdat"s
                                            "\x7f\xff\xff\xff\xff\xff\xff\xff"s)),
        std::nullopt);
}

TEST_F(AnnouncedBytes, AreUnknownForAnythingElse)
{
    EXPECT_EQ(footage::announcedBytes(write("nothing like a container")), std::nullopt);
    EXPECT_EQ(footage::announcedBytes(write("x")), std::nullopt);
    EXPECT_EQ(footage::announcedBytes(m_folder.path() / "none"), std::nullopt);
}

} // namespace

} // namespace twinlamp::tests
