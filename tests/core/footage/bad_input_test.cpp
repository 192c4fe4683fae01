// SPDX-License-Identifier: GPL-3.0-or-later
// Each kind of bad input gets one sentence that names the file, what was found and what to do.
#include "core/footage/frame_scan.h"
#include "core/footage/frame_source.h"
#include "tests/core/footage/clips.h"

#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

namespace twinlamp::tests {

namespace {

namespace fs = std::filesystem;
using testing::EndsWith;
using testing::HasSubstr;
using testing::StartsWith;

const Arguments x264 {"-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p", "-g", "10"};

void expectError(const fs::path& clip, Cause why, const std::string& words)
{
    const auto result = footage::indexClip(clip, {}, {});
    ASSERT_TRUE(result.isError()) << clip;
    EXPECT_EQ(result.error().where, Stage::Footage);
    EXPECT_EQ(result.error().why, why) << result.error().detail;
    EXPECT_THAT(result.error().detail, StartsWith(clip.filename().string() + " "));
    EXPECT_THAT(result.error().detail, HasSubstr(words));
    EXPECT_THAT(result.error().detail, EndsWith("."));
    EXPECT_THAT(result.error().detail, testing::Not(HasSubstr("\n")));
}

class BadInput : public testing::Test
{
protected:
    [[nodiscard]] fs::path file(const std::string& name, const std::string& content) const
    {
        std::ofstream(m_folder.path() / name, std::ios::binary) << content;
        return m_folder.path() / name;
    }

    [[nodiscard]] fs::path clip(const std::string& name, int frames = 40) const
    {
        return makeClip(m_folder, name, movingPicture(frames, "240", "96x64") + x264);
    }

    TemporaryFolder m_folder;
};

TEST_F(BadInput, MissingFile)
{
    expectError(m_folder.path() / "none.mp4", Cause::NotFound, "was not found");
    expectError(file("a.txt", "x") / "below.mp4", Cause::NotFound, "was not found");
}

TEST_F(BadInput, Folder) { expectError(m_folder.path(), Cause::NotAVideo, "is a folder"); }

TEST_F(BadInput, Pipe)
{
    const fs::path pipe = m_folder.path() / "pipe.mp4";
    ASSERT_EQ(::mkfifo(pipe.c_str(), 0600), 0);
    expectError(pipe, Cause::NotAVideo, "copy the footage to a file");
    // Nobody writes into it: opening it would wait for ever, also for a key or a checksum.
    const TemporaryFolder cache;
    const auto cached = footage::indexClip(pipe, cache.path(), {});
    ASSERT_TRUE(cached.isError());
    EXPECT_EQ(cached.error().why, Cause::NotAVideo);
    EXPECT_TRUE(footage::sha256OfFile(pipe, {}).isError());
}

TEST_F(BadInput, UnreadableFile)
{
    if (::geteuid() == 0) {
        GTEST_SKIP() << "the superuser may read everything";
    }
    const fs::path secret = clip("a.mp4");
    fs::permissions(secret, fs::perms::none);
    expectError(secret, Cause::NoAccess, "permissions");
}

TEST_F(BadInput, EmptyFile) { expectError(file("a.mp4", ""), Cause::NotAVideo, "is empty"); }

TEST_F(BadInput, NoVideoAtAll)
{
    expectError(file("a.mp4", "these are words"), Cause::NotAVideo, "is no video");
    expectError(file("b.mp4", std::string(100'000, '\0')), Cause::NotAVideo, "is no video");
}

TEST_F(BadInput, ListsThatNameOtherFiles)
{
    const fs::path good = clip("good.ts");
    const std::string name = good.string();
    expectError(file("list.m3u8",
                    "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\n" + name + "\n#EXT-X-ENDLIST\n"),
        Cause::NotAVideo, "is no video");
    expectError(file("list.ffconcat", "ffconcat version 1.0\nfile '" + name + "'\n"),
        Cause::NotAVideo, "is no video");
    expectError(file("list.sdp", "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nt=0 0\n"), Cause::NotAVideo,
        "is no video");
}

TEST_F(BadInput, NamesThatLookLikeProtocols)
{
    const fs::path odd = m_folder.path() / "concat:a|b.mp4";
    fs::copy_file(clip("a.mp4"), odd);
    EXPECT_EQ(indexOf(odd)->frameCount(), 40);
}

TEST_F(BadInput, UnknownContainer)
{
    expectError(
        makeClip(m_folder, "a.flv", movingPicture(5, "30", "64x64") + Arguments {"-c:v", "flv"}),
        Cause::NotAVideo, "MP4, MOV, MKV");
}

TEST_F(BadInput, SoundOnly)
{
    expectError(makeClip(m_folder, "a.m4a", {"-f", "lavfi", "-i", "sine=d=1", "-c:a", "aac"}),
        Cause::NoVideoStream, "no video stream");
}

TEST_F(BadInput, CoverPictureOnly)
{
    const fs::path cover = makeClip(m_folder, "cover.png", movingPicture(1, "30", "64x64"));
    expectError(makeClip(m_folder, "a.m4a",
                    {"-f", "lavfi", "-i", "sine=d=1", "-i", cover.string(), "-map", "0", "-map",
                        "1", "-c:a", "aac", "-c:v", "copy", "-disposition:v:0", "attached_pic"}),
        Cause::NoVideoStream, "no video stream");
}

TEST_F(BadInput, UnknownCodec)
{
    const fs::path odd = clip("a.mp4");
    std::ifstream in(odd, std::ios::binary);
    std::string bytes {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    const std::size_t entry = bytes.find("avc1", bytes.find("stsd"));
    ASSERT_NE(entry, std::string::npos);
    bytes.replace(entry, 4, "zq9x");
    expectError(file("b.mp4", bytes), Cause::UnsupportedCodec, "coded as 'zq9x'");
}

TEST_F(BadInput, RecordingCutOffBeforeItsTableWasWritten)
{
    const fs::path cut = clip("a.mp4");
    fs::resize_file(cut, fs::file_size(cut) / 2);
    expectError(cut, Cause::Damaged, "cut off");
}

TEST_F(BadInput, SizeThatChangesInMidStream)
{
    const fs::path small = clip("small.ts");
    const fs::path large
        = makeClip(m_folder, "large.ts", movingPicture(40, "240", "128x96") + x264);
    std::ifstream first(small, std::ios::binary);
    std::ifstream second(large, std::ios::binary);
    std::string bytes {std::istreambuf_iterator<char>(first), std::istreambuf_iterator<char>()};
    bytes.append(std::istreambuf_iterator<char>(second), std::istreambuf_iterator<char>());
    expectError(file("both.ts", bytes), Cause::SizeChanges, "from 96 x 64 to 128 x 96 pixels");
}

TEST_F(BadInput, SizeThatChangesWhereOnlyDecodingTells)
{
    const Arguments jpeg {"-c:v", "mjpeg", "-pix_fmt", "yuvj420p"};
    const fs::path small = makeClip(m_folder, "s.mkv", movingPicture(20, "240", "96x64") + jpeg);
    const fs::path large = makeClip(m_folder, "l.mkv", movingPicture(20, "240", "128x96") + jpeg);
    const fs::path list
        = file("list.txt", "file '" + small.string() + "'\nfile '" + large.string() + "'\n");
    const fs::path both = makeClip(
        m_folder, "both.mkv", {"-f", "concat", "-safe", "0", "-i", list.string(), "-c", "copy"});
    const auto index = indexOf(both);
    const auto scan = footage::scanFrames(
        *index, index->all(), [](FrameIndex, const footage::PictureView&, int) {}, {2}, {});
    ASSERT_TRUE(scan.isError());
    EXPECT_EQ(scan.error().why, Cause::SizeChanges);
    auto source = footage::FrameSource::open(index, {});
    ASSERT_TRUE(source);
    EXPECT_TRUE(source->frame({5}));
    const auto changed = source->frame({30});
    ASSERT_FALSE(changed);
    EXPECT_EQ(changed.error().why, Cause::SizeChanges);
    EXPECT_TRUE(source->frame({6})) << "what lies before the change can still be seen";
}

TEST_F(BadInput, FileThatVanishesAfterItWasIndexed)
{
    const fs::path gone = clip("a.mp4");
    const auto index = indexOf(gone);
    fs::remove(gone);
    const auto scan = footage::scanFrames(
        *index, index->all(), [](FrameIndex, const footage::PictureView&, int) {}, {2}, {});
    ASSERT_TRUE(scan.isError());
    EXPECT_EQ(scan.error().why, Cause::NotFound);
    const auto source = footage::FrameSource::open(index, {});
    ASSERT_FALSE(source);
    EXPECT_EQ(source.error().why, Cause::NotFound);
}

class CutOff : public testing::TestWithParam<std::string>
{
};

TEST_P(CutOff, IsReadAsFarAsItGoesAndSaysSo)
{
    const TemporaryFolder folder;
    const fs::path cut = makeClip(folder, "a" + GetParam(),
        movingPicture(100, "240", "96x64") + x264 + Arguments {"-bf", "2"}
            + (GetParam() == ".mp4" ? Arguments {"-movflags", "faststart"} : Arguments {}));
    const auto whole = pictureHashes(cut);
    fs::resize_file(cut, fs::file_size(cut) * 3 / 5);
    const auto index = indexOf(cut);
    EXPECT_GT(index->frameCount(), 30);
    EXPECT_LT(index->frameCount(), 90);
    EXPECT_THAT(index->notes,
        testing::Contains(Sentence {"clip-truncated", {std::to_string(index->frameCount())}}));
    std::vector<std::string> seen(static_cast<std::size_t>(index->frameCount()));
    const auto scan = footage::scanFrames(*index, index->all(),
        [&](FrameIndex k, const footage::PictureView& view, int) {
            seen.at(static_cast<std::size_t>(k.value)) = hashOf(view);
        },
        {1}, {});
    ASSERT_TRUE(scan.hasValue());
    // The cut may hit pictures that are shown early and stored late: the last few may be missing or
    // numbered up, all before are those of the whole clip.
    constexpr std::size_t last = 4;
    for (std::size_t k = 0; k + last < seen.size(); ++k) {
        EXPECT_EQ(seen[k], whole[k]) << k;
    }
}

INSTANTIATE_TEST_SUITE_P(Footage, CutOff, testing::Values(".mp4", ".mkv", ".avi"),
    [](const auto& container) { return container.param.substr(1); });

} // namespace

} // namespace twinlamp::tests
