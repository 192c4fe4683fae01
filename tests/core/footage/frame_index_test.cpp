// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_index.h"
#include "tests/core/footage/clips.h"

#include <algorithm>
#include <array>
#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <iterator>

namespace twinlamp::tests {

namespace {

using footage::ClipIndex;

const Arguments x264 {"-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p"};

std::vector<std::int64_t> stampsOf(const ClipIndex& index)
{
    std::vector<std::int64_t> stamps(index.entries.size());
    std::ranges::transform(index.entries, stamps.begin(), &footage::FrameEntry::ptsTicks);
    return stamps;
}

// The cases of reference/measurement.md 2.2, container arithmetic of ISO/IEC 14496-12.
TEST(FrameIndexOfMp4, StartsAtZeroWithBFrames)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "a.mp4", movingPicture(50, "25", "64x64") + x264);
    const auto index = indexOf(clip);
    EXPECT_EQ(index->info.timeBaseDen, 12'800);
    ASSERT_EQ(index->frameCount(), 50);
    for (std::int64_t k = 0; k < 50; ++k) {
        EXPECT_EQ(index->entries[static_cast<std::size_t>(k)].ptsTicks, k * 512);
        EXPECT_EQ(index->playTime({k}).ns, k * 40'000'000);
    }
    EXPECT_EQ(stampsOf(*index), shownStamps(clip));
}

TEST(FrameIndexOfMp4, LeavesAStartOffsetOutOfPlayTime)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "a.mp4", movingPicture(50, "25", "64x64") + x264);
    const auto late
        = makeClip(folder, "late.mp4", {"-itsoffset", "0.5", "-i", clip.string(), "-c", "copy"});
    const auto index = indexOf(late);
    EXPECT_EQ(index->frameCount(), 50);
    EXPECT_EQ(index->entries.front().ptsTicks, 6400);
    EXPECT_EQ(index->playTime({0}).ns, 0);
    EXPECT_EQ(index->playTime({10}).ns, 400'000'000);
}

TEST(FrameIndexOfMp4, LeavesFramesOutThatAnEditListHides)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(
        folder, "g.mp4", movingPicture(50, "25", "64x64") + x264 + Arguments {"-g", "10"});
    const auto trimmed
        = makeClip(folder, "t.mp4", {"-ss", "0.6", "-i", clip.string(), "-c", "copy"});
    const auto index = indexOf(trimmed);
    EXPECT_EQ(probe(trimmed, "packet=pts").size(), 40U);
    EXPECT_EQ(index->frameCount(), 35);
    EXPECT_EQ(index->frameCount(), countedFrames(trimmed));
    EXPECT_EQ(index->entries.front().ptsTicks, 0);
    // Frame 0 is no keyframe of its own, but decoding can start before it.
    ASSERT_FALSE(index->keyframes.empty());
    EXPECT_EQ(index->keyframes.front().value, 0);
    EXPECT_FALSE(index->entries.front().keyframe);
}

TEST(FrameIndexOfMp4, KeepsExactIntervalsOfFastCameras)
{
    const TemporaryFolder folder;
    const auto at1000
        = indexOf(makeClip(folder, "k.mp4", movingPicture(50, "1000", "64x64") + x264));
    EXPECT_EQ(at1000->info.timeBaseDen, 16'000);
    EXPECT_EQ(at1000->playTime({49}).ns, 49'000'000);
    const auto at240 = indexOf(makeClip(folder, "f.mp4", movingPicture(50, "240", "64x64") + x264));
    EXPECT_EQ(at240->info.timeBaseDen, 15'360);
    EXPECT_EQ(at240->playTime({48}).ns, 200'000'000);
}

TEST(FrameIndexOfTransportStream, GoesOnWhereTheClockOfTheStreamWraps)
{
    const TemporaryFolder folder;
    // 2^33 / 90000 s = 95443.718 s: the wrap comes in the middle of the clip.
    const auto clip = makeClip(folder, "wrap.ts",
        movingPicture(120) + x264
            + Arguments {"-g", "12", "-bf", "2", "-output_ts_offset", "95443.5"});
    const auto index = indexOf(clip);
    ASSERT_EQ(index->frameCount(), 120);
    for (std::size_t k = 1; k < 120; ++k) {
        EXPECT_EQ(index->entries[k].ptsTicks - index->entries[k - 1].ptsTicks, 375) << k;
    }
}

TEST(FrameIndexOfMatroska, TellsFramesApartThatShareAStamp)
{
    const TemporaryFolder folder;
    // 2000 frames a second in whole milliseconds: two frames share each stamp.
    const auto clip = makeClip(folder, "fast.mkv",
        movingPicture(40, "2000", "64x64") + Arguments {"-c:v", "ffv1", "-g", "1"});
    const auto index = indexOf(clip);
    EXPECT_EQ(index->frameCount(), 40);
    EXPECT_TRUE(index->matchByPosition);
}

TEST(FrameIndexOfAvi, CountsKeyframesInTheOrderShown)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "a.avi",
        movingPicture(50) + Arguments {"-c:v", "mpeg4", "-bf", "2", "-g", "10", "-q:v", "4"});
    const auto index = indexOf(clip);
    EXPECT_EQ(index->frameCount(), 50);
    EXPECT_TRUE(std::ranges::is_sorted(stampsOf(*index)));
    for (const FrameIndex k : index->keyframes) {
        EXPECT_TRUE(index->entries[static_cast<std::size_t>(k.value)].keyframe) << k.value;
    }
    EXPECT_GE(index->keyframes.size(), 4U);
}

// Keys and values of reference/measurement.md 2.3.
TEST(CaptureRateTag, IsReadAsText)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "a.mp4",
        movingPicture(10, "30", "64x64") + x264
            + Arguments {"-metadata", "com.android.capture.fps=240", "-metadata",
                "com.apple.quicktime.camera.framereadouttimeinmicroseconds=15500", "-movflags",
                "use_metadata_tags"});
    const auto index = indexOf(clip);
    EXPECT_EQ(index->info.taggedCaptureRate, (FrameRate {240, 1}));
    EXPECT_EQ(index->info.taggedReadOutUs, 15'500.0);
}

TEST(CaptureRateTag, IsReadAsTheFloatThatPhonesWrite)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "a.mp4",
        movingPicture(10, "30", "64x64") + x264
            + Arguments {
                "-metadata", "com.android.capture.fps=ABCD", "-movflags", "use_metadata_tags"});
    std::fstream file(clip, std::ios::binary | std::ios::in | std::ios::out);
    std::string bytes {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
    // 'data', type 1 (text), locale, value: becomes type 23 (32-bit float), 239.76.
    const std::size_t value = bytes.find("ABCD");
    ASSERT_NE(value, std::string::npos);
    constexpr std::size_t typeBytesBefore = 8;
    bytes[value - typeBytesBefore + 3] = 23;
    bytes.replace(value, 4, "\x43\x6f\xc2\x8f");
    file.clear();
    file.seekp(0);
    file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    file.close();
    const auto index = indexOf(clip);
    EXPECT_EQ(index->info.taggedCaptureRate, (FrameRate {5994, 25})); // 239.76
}

TEST(CaptureRateTag, IsAbsentWithoutOneAndWhereItIsNoRate)
{
    const TemporaryFolder folder;
    const Arguments tags {"-movflags", "use_metadata_tags"};
    EXPECT_FALSE(indexOf(makeClip(folder, "a.mp4", movingPicture(5, "30", "64x64") + x264))
                     ->info.taggedCaptureRate);
    for (const char* text : {"0", "-5", "0.5", "2000000", "1e30", "fast", "nan"}) {
        const auto clip = makeClip(folder, "b.mp4",
            movingPicture(5, "30", "64x64") + x264 + tags
                + Arguments {"-metadata", std::string("com.android.capture.fps=") + text});
        EXPECT_FALSE(indexOf(clip)->info.taggedCaptureRate) << text;
    }
}

TEST(ClipInfo, TellsColourAsTagged)
{
    const TemporaryFolder folder;
    const auto hlg = indexOf(makeClip(folder, "hlg.mp4",
        movingPicture(5, "30", "64x64")
            + Arguments {"-c:v", "libx265", "-pix_fmt", "yuv420p10le", "-x265-params",
                "log-level=none:colorprim=bt2020:transfer=arib-std-b67:colormatrix=bt2020nc"}));
    EXPECT_EQ(hlg->info.bitDepth, 10);
    EXPECT_EQ(hlg->info.colour, (footage::ColourDescription {9, 18, 9, false}));
    const auto untagged
        = indexOf(makeClip(folder, "plain.mp4", movingPicture(5, "30", "64x64") + x264));
    EXPECT_EQ(untagged->info.colour, (footage::ColourDescription {2, 2, 2, false}));
    const auto jpeg = indexOf(makeClip(folder, "m.mov",
        movingPicture(5, "30", "64x64") + Arguments {"-c:v", "mjpeg", "-pix_fmt", "yuvj420p"}));
    EXPECT_TRUE(jpeg->info.colour.fullRange);
}

TEST(ClipInfo, TellsTheRotationClockwise)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "a.mp4", movingPicture(5, "30", "64x48") + x264);
    for (const int degrees : {90, 180, 270}) {
        const auto turned = makeClip(folder, "r.mp4",
            {"-i", clip.string(), "-c", "copy", "-metadata:s:v",
                "rotate=" + std::to_string(degrees)});
        // ffprobe counts anticlockwise, from -180 to 180.
        const int anticlockwise = std::stoi(probe(turned, "stream_side_data=rotation").at(0));
        const int clockwise = (360 - anticlockwise) % 360;
        EXPECT_EQ(degrees % 180, clockwise % 180);
        EXPECT_EQ(indexOf(turned)->info.orientation, (footage::Orientation {clockwise, 64, 48}));
    }
}

TEST(IndexClip, StopsWhenAsked)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "a.mp4", movingPicture(50, "240", "64x64") + x264);
    std::stop_source stop;
    JobControl control {
        stop.get_token(), [&stop](std::int64_t, std::int64_t) { stop.request_stop(); }};
    EXPECT_TRUE(footage::indexClip(clip, {}, control).isCancelled());
}

TEST(IndexClip, ReportsBytesUpToTheFilesSize)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "a.mp4", movingPicture(50, "240", "64x64") + x264);
    const auto size = static_cast<std::int64_t>(std::filesystem::file_size(clip));
    std::int64_t calls = 0;
    std::int64_t last = -1;
    const JobControl control {{}, [&](std::int64_t done, std::int64_t total) {
                                  EXPECT_EQ(total, size);
                                  EXPECT_GE(done, last);
                                  EXPECT_LE(done, total);
                                  last = done;
                                  ++calls;
                              }};
    EXPECT_TRUE(footage::indexClip(clip, {}, control).hasValue());
    EXPECT_EQ(calls, 50);
}

} // namespace

} // namespace twinlamp::tests
