// SPDX-License-Identifier: GPL-3.0-or-later
// One packet in the middle is overwritten: what depends on it is missing, everything else is right.
#include "core/footage/capture_clock.h"
#include "core/footage/frame_scan.h"
#include "core/footage/frame_source.h"
#include "tests/core/footage/clips.h"

#include <algorithm>
#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <ostream>

namespace twinlamp::tests {

namespace {

struct DamagedClip
{
    std::string name;
    std::string fileName;
    Arguments coding;
    std::int64_t mostMissing = 0; ///< a GOP and the frames of the next one that lean on it
};

void PrintTo(const DamagedClip& clip, std::ostream* out) { *out << clip.name; }

class DamagedPacket : public testing::TestWithParam<DamagedClip>
{
protected:
    void SetUp() override
    {
        m_clip = makeClip(
            m_folder, GetParam().fileName, movingPicture(60, "240", "192x160") + GetParam().coding);
        m_hashes = pictureHashes(m_clip);
        const std::vector<PacketPlace> places = packetPlaces(m_clip);
        std::size_t hit = 25;
        while (places.at(hit).keyframe && GetParam().mostMissing > 1) {
            ++hit;
        }
        const PacketPlace& place = places.at(hit);
        spoil(m_clip, place.position + place.size / 4, place.position + place.size, 5);
        m_index = indexOf(m_clip);
    }

    TemporaryFolder m_folder;
    std::filesystem::path m_clip;
    std::vector<std::string> m_hashes;
    std::shared_ptr<const footage::ClipIndex> m_index;
};

TEST_P(DamagedPacket, CostsOnlyTheFramesThatDependOnIt)
{
    ASSERT_EQ(m_index->frameCount(), 60);
    for (const int threads : {1, 2}) {
        std::vector<std::string> seen(m_hashes.size());
        const auto scan = footage::scanFrames(*m_index, m_index->all(),
            [&](FrameIndex k, const footage::PictureView& view, int) {
                seen.at(static_cast<std::size_t>(k.value)) = hashOf(view);
            },
            {threads}, {});
        ASSERT_TRUE(scan.hasValue());
        const auto& missing = scan.value().missing;
        EXPECT_FALSE(missing.empty());
        EXPECT_LE(static_cast<std::int64_t>(missing.size()), GetParam().mostMissing);
        EXPECT_TRUE(std::ranges::is_sorted(missing));
        EXPECT_NE(scan.value().firstDecodeError, "");
        for (std::size_t k = 0; k < seen.size(); ++k) {
            const FrameIndex frame {static_cast<std::int64_t>(k)};
            const bool isMissing = std::ranges::find(missing, frame) != missing.end();
            EXPECT_EQ(seen[k], isMissing ? "" : m_hashes[k]) << "frame " << k;
        }
    }
}

TEST_P(DamagedPacket, IsAnErrorForTheFramesThatDependOnItAlone)
{
    const auto scan = footage::scanFrames(
        *m_index, m_index->all(), [](FrameIndex, const footage::PictureView&, int) {}, {1}, {});
    ASSERT_TRUE(scan.hasValue());
    const auto& missing = scan.value().missing;
    constexpr std::size_t smallCache = std::size_t {1} << 17U;
    auto source = footage::FrameSource::open(m_index, {smallCache, 1});
    ASSERT_TRUE(source);
    for (std::int64_t k = m_index->frameCount() - 1; k >= 0; --k) {
        const auto frame = source->frame({k});
        if (std::ranges::find(missing, FrameIndex {k}) == missing.end()) {
            ASSERT_TRUE(frame) << frame.error().detail;
            EXPECT_EQ(hashOf(frame->view()), m_hashes[static_cast<std::size_t>(k)]) << k;
        } else {
            ASSERT_FALSE(frame) << k;
            EXPECT_EQ(frame.error().why, Cause::Damaged);
            EXPECT_THAT(frame.error().detail,
                testing::HasSubstr("is damaged at frame " + std::to_string(k)));
        }
    }
}

std::vector<DamagedClip> damagedClips()
{
    const Arguments x264 {"-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p", "-g",
        "12", "-sc_threshold", "0", "-crf", "12"};
    return {
        {"H264InMp4", "a.mp4", x264 + Arguments {"-bf", "2"}, 14},
        {"H264OpenGopInMatroska", "a.mkv",
            x264 + Arguments {"-bf", "2", "-x264-params", "open-gop=1"}, 16},
        {"H264WithBFramesInAvi", "a.avi", x264 + Arguments {"-bf", "2"}, 14},
        // An HEVC picture of noise is a valid picture: only a hash inside the stream tells.
        {"HevcWithPictureHashesInMp4", "a.mp4",
            {"-c:v", "libx265", "-preset", "ultrafast", "-crf", "12", "-pix_fmt", "yuv420p",
                "-x265-params",
                "log-level=none:hash=1:keyint=12:min-keyint=12:bframes=2:open-gop=0"},
            14},
        {"MotionJpegInAvi", "a.avi", {"-c:v", "mjpeg", "-q:v", "4", "-pix_fmt", "yuvj420p"}, 1},
        {"MotionJpegInMov", "a.mov", {"-c:v", "mjpeg", "-q:v", "4", "-pix_fmt", "yuvj420p"}, 1},
        {"Mpeg4InMp4", "a.mp4", {"-c:v", "mpeg4", "-q:v", "3", "-bf", "2", "-g", "12"}, 14},
        {"Ffv1InMatroska", "a.mkv",
            {"-c:v", "ffv1", "-level", "3", "-slicecrc", "1", "-g", "8", "-pix_fmt", "yuv420p"}, 8},
    };
}

INSTANTIATE_TEST_SUITE_P(Footage, DamagedPacket, testing::ValuesIn(damagedClips()),
    [](const testing::TestParamInfo<DamagedClip>& clip) { return clip.param.name; });

TEST(DamagedTransportStream, LosesWhatIsGoneAndKeepsTheTime)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "a.ts",
        movingPicture(60, "240", "192x160")
            + Arguments {"-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p", "-g",
                "12", "-crf", "12"});
    const auto whole = indexOf(clip);
    const auto hashes = pictureHashes(clip);
    const auto places = packetPlaces(clip);
    spoil(clip, places.at(26).position, places.at(27).position, 9);
    const auto index = indexOf(clip);
    std::vector<std::string> seen(static_cast<std::size_t>(index->frameCount()));
    const auto scan = footage::scanFrames(*index, index->all(),
        [&](FrameIndex k, const footage::PictureView& view, int) {
            seen.at(static_cast<std::size_t>(k.value)) = hashOf(view);
        },
        {2}, {});
    ASSERT_TRUE(scan.hasValue());
    std::int64_t right = 0;
    for (std::size_t k = 0; k < seen.size(); ++k) {
        // Frames are told by their stamps: those of the clip before the damage.
        const auto at = std::ranges::find(
            whole->entries, index->entries[k].ptsTicks, &footage::FrameEntry::ptsTicks);
        ASSERT_NE(at, whole->entries.end());
        if (!seen[k].empty()) {
            EXPECT_EQ(seen[k], hashes.at(static_cast<std::size_t>(at - whole->entries.begin())))
                << k;
            ++right;
        }
    }
    EXPECT_GE(right, 60 - 14);
    EXPECT_LT(right, 60);
}

class ChunksLostInAvi : public testing::TestWithParam<Arguments>
{
};

TEST_P(ChunksLostInAvi, LeaveTheOtherFramesAtTheirTime)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "a.avi", movingPicture(60, "240", "192x160") + GetParam());
    const auto hashes = pictureHashes(clip);
    const auto places = packetPlaces(clip);
    // The chunks' headers go as well: the demuxer steps over them as if they had never been there.
    spoil(clip, places.at(26).position - 8, places.at(28).position - 20, 9);
    const auto index = indexOf(clip);
    ASSERT_EQ(index->frameCount(), 58);
    EXPECT_EQ(index->entries.back().ptsTicks, 59);
    EXPECT_EQ(footage::CaptureClock(*index, {240, 1}).lostFrames(), 2);
    auto source = footage::FrameSource::open(index, {});
    ASSERT_TRUE(source);
    for (const std::int64_t k : {57, 56, 5, 50}) {
        const auto frame = source->frame({k});
        ASSERT_TRUE(frame) << frame.error().detail;
        const std::int64_t rank = index->entries[static_cast<std::size_t>(k)].ptsTicks;
        EXPECT_EQ(hashOf(frame->view()), hashes.at(static_cast<std::size_t>(rank))) << k;
    }
}

INSTANTIATE_TEST_SUITE_P(Footage, ChunksLostInAvi,
    testing::Values(Arguments {"-c:v", "mjpeg", "-q:v", "4", "-pix_fmt", "yuvj420p"},
        Arguments {"-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p", "-g", "12",
            "-bf", "2"}),
    [](const testing::TestParamInfo<Arguments>& coding) { return coding.param[1]; });

TEST(ClipWithoutAKeyframeAtItsStart, BeginsDamaged)
{
    const TemporaryFolder folder;
    const auto whole = makeClip(folder, "a.ts",
        movingPicture(60, "240", "192x160")
            + Arguments {"-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p", "-g",
                "20", "-sc_threshold", "0", "-bf", "0", "-crf", "12"});
    const auto hashes = pictureHashes(whole);
    // Cut in front of packet 5, at a multiple of the 188 bytes of a transport packet.
    const auto places = packetPlaces(whole);
    const std::filesystem::path cut = folder.path() / "cut.ts";
    {
        std::ifstream in(whole, std::ios::binary);
        in.seekg(places.at(5).position);
        std::ofstream(cut, std::ios::binary) << in.rdbuf();
    }
    const auto index = indexOf(cut);
    ASSERT_GE(index->frameCount(), 40);
    std::vector<std::string> seen(static_cast<std::size_t>(index->frameCount()));
    const auto scan = footage::scanFrames(*index, index->all(),
        [&](FrameIndex k, const footage::PictureView& view, int) {
            seen.at(static_cast<std::size_t>(k.value)) = hashOf(view);
        },
        {2}, {});
    ASSERT_TRUE(scan.hasValue());
    // From the first keyframe on, every picture is right; none before it is passed off as good.
    for (std::size_t back = 0; back < 40; ++back) {
        EXPECT_EQ(seen[seen.size() - 1 - back], hashes[hashes.size() - 1 - back]);
    }
    for (std::size_t k = 0; k + 40 < seen.size(); ++k) {
        EXPECT_EQ(seen[k], "") << k;
    }
}

} // namespace

} // namespace twinlamp::tests
