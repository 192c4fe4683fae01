// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_source.h"
#include "tests/core/footage/clips.h"

#include <algorithm>
#include <gtest/gtest.h>

namespace twinlamp::tests {

namespace {

using footage::Frame;
using footage::FrameSource;

constexpr std::size_t pictureBytes = std::size_t {160} * 120 * 3 / 2;

class SourceOfAClip : public testing::Test
{
protected:
    [[nodiscard]] FrameSource open(std::size_t cacheBytes, int threads = 1) const
    {
        auto source = FrameSource::open(m_index, {cacheBytes, threads});
        EXPECT_TRUE(source);
        return std::move(*source);
    }

    TemporaryFolder m_folder;
    std::filesystem::path m_clip = makeClip(m_folder, "a.mp4",
        movingPicture(60)
            + Arguments {"-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p", "-g",
                "20", "-sc_threshold", "0", "-bf", "2"});
    std::shared_ptr<const footage::ClipIndex> m_index = indexOf(m_clip);
};

TEST_F(SourceOfAClip, KeepsItsCacheWithinBounds)
{
    constexpr std::size_t limit = 10 * pictureBytes;
    FrameSource source = open(limit);
    for (std::int64_t k = 0; k < 60; ++k) {
        ASSERT_TRUE(source.frame({k}));
        EXPECT_LE(source.cachedBytes(), limit);
    }
    EXPECT_GT(source.cachedBytes(), pictureBytes);
}

TEST_F(SourceOfAClip, KeepsWhatItDecodesOnTheWay)
{
    FrameSource source = open(pictureBytes * 120);
    EXPECT_FALSE(source.cached({30}));
    ASSERT_TRUE(source.frame({35}));
    // Steps back to the keyframe need no decoding.
    for (std::int64_t k = 35; k >= 20; --k) {
        EXPECT_TRUE(source.cached({k})) << k;
    }
    EXPECT_FALSE(source.cached({19}));
    EXPECT_FALSE(source.cached({36}));
}

TEST_F(SourceOfAClip, DropsTheFurthestFromTheHand)
{
    FrameSource source = open(8 * pictureBytes);
    ASSERT_TRUE(source.frame({0}));
    const std::size_t one = source.cachedBytes();
    FrameSource small = open(3 * one);
    for (const std::int64_t k : {0, 1, 2, 3}) {
        ASSERT_TRUE(small.frame({k}));
    }
    EXPECT_FALSE(small.cached({0}));
    EXPECT_TRUE(small.cached({1}));
    EXPECT_TRUE(small.cached({3}));
    ASSERT_TRUE(small.frameAside({40})); // a look aside takes no frame from the hand
    EXPECT_TRUE(small.cached({2}));
    EXPECT_TRUE(small.cached({3}));
    EXPECT_FALSE(small.cached({40}));
}

/// Reads ahead until nothing is left; frames that were decoded for it.
int readAll(FrameSource& source)
{
    int frames = 0;
    while (source.readAhead()) {
        ++frames;
    }
    return frames;
}

TEST_F(SourceOfAClip, ReadsAheadTheWayTheHandGoes)
{
    FrameSource source = open(pictureBytes * 240);
    ASSERT_TRUE(source.frame({35}));
    ASSERT_TRUE(source.frame({34}));
    EXPECT_GT(readAll(source), 0);
    for (std::int64_t k = 0; k <= 35; ++k) {
        EXPECT_TRUE(source.cached({k})) << k;
    }
    EXPECT_FALSE(source.cached({41}));
    EXPECT_EQ(readAll(source), 0);
    ASSERT_TRUE(source.frame({35})); // and turns
    readAll(source);
    for (std::int64_t k = 35; k < 60; ++k) {
        EXPECT_TRUE(source.cached({k})) << k;
    }
}

TEST_F(SourceOfAClip, ReadsAheadAWindowWhereTheCacheIsSmall)
{
    FrameSource probe = open(8 * pictureBytes);
    ASSERT_TRUE(probe.frame({0}));
    const std::size_t limit = 12 * probe.cachedBytes();
    FrameSource source = open(limit);
    ASSERT_TRUE(source.frame({40}));
    for (std::int64_t k = 39; k >= 0; --k) {
        ASSERT_TRUE(source.frame({k})) << k;
        readAll(source);
        EXPECT_LE(source.cachedBytes(), limit);
        for (std::int64_t next = std::max<std::int64_t>(0, k - 5); next < k; ++next) {
            EXPECT_TRUE(source.cached({next})) << next << " while " << k << " is in hand";
        }
    }
}

TEST_F(SourceOfAClip, FramesReadAheadAreThoseAskedFor)
{
    FrameSource ahead = open(pictureBytes * 240);
    FrameSource plain = open(1);
    std::int64_t k = 30;
    for (const int step : {1, 1, 1, -1, -1, -1, -1, -1, -20, 1, 1, 25, -1}) {
        k += step;
        const auto frame = ahead.frame({k});
        ASSERT_TRUE(frame);
        readAll(ahead);
        const auto same = plain.frame({k});
        ASSERT_TRUE(same);
        const auto orientation = m_index->info.orientation;
        EXPECT_EQ(frame->number(), FrameIndex {k});
        EXPECT_EQ(footage::toRgb(*frame, orientation).bgrx, footage::toRgb(*same, orientation).bgrx)
            << k;
    }
}

TEST_F(SourceOfAClip, ReadingAheadEndsWithTheClip)
{
    FrameSource source = open(pictureBytes * 240);
    ASSERT_TRUE(source.frame({57}));
    ASSERT_TRUE(source.frame({58}));
    EXPECT_LE(readAll(source), 3);
    EXPECT_TRUE(source.cached({59}));
    FrameSource fresh = open(pictureBytes * 240);
    EXPECT_FALSE(fresh.readAhead()); // no frame is in hand yet
}

TEST_F(SourceOfAClip, FramesOutliveTheSource)
{
    Frame frame;
    {
        FrameSource source = open(pictureBytes);
        const auto got = source.frame({33});
        ASSERT_TRUE(got);
        frame = *got;
    }
    EXPECT_EQ(frame.number().value, 33);
    EXPECT_EQ(hashOf(frame.view()), pictureHashes(m_clip).at(33));
    EXPECT_GE(frame.bytes(), pictureBytes);
}

TEST_F(SourceOfAClip, RefusesFramesOutsideTheClip)
{
    FrameSource source = open(pictureBytes);
    for (const std::int64_t k : {-1, 60, 1000}) {
        const auto frame = source.frame({k});
        ASSERT_FALSE(frame);
        EXPECT_EQ(frame.error().why, Cause::InvalidValue);
        EXPECT_NE(frame.error().detail.find("0 to 59"), std::string::npos);
    }
}

TEST_F(SourceOfAClip, GivesTheSamePicturesWithSeveralThreads)
{
    const auto hashes = pictureHashes(m_clip);
    FrameSource source = open(pictureBytes, 3);
    for (const std::int64_t k : {59, 0, 25, 24, 23, 41, 42, 7}) {
        const auto frame = source.frame({k});
        ASSERT_TRUE(frame) << frame.error().detail;
        EXPECT_EQ(hashOf(frame->view()), hashes.at(static_cast<std::size_t>(k))) << k;
    }
}

TEST_F(SourceOfAClip, ReachesFramesBehindAnEditList)
{
    const auto trimmed
        = makeClip(m_folder, "t.mp4", {"-ss", "0.12", "-i", m_clip.string(), "-c", "copy"});
    const auto hashes = pictureHashes(trimmed);
    const auto index = indexOf(trimmed);
    ASSERT_EQ(static_cast<std::size_t>(index->frameCount()), hashes.size());
    ASSERT_LT(index->frameCount(), 40);
    auto source = FrameSource::open(index, {pictureBytes, 1});
    ASSERT_TRUE(source);
    for (std::int64_t k = index->frameCount() - 1; k >= 0; --k) {
        const auto frame = source->frame({k});
        ASSERT_TRUE(frame) << frame.error().detail;
        EXPECT_EQ(hashOf(frame->view()), hashes.at(static_cast<std::size_t>(k))) << k;
    }
}

TEST(SourceOfAWrappingTransportStream, ReachesFramesOnBothSides)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "wrap.ts",
        movingPicture(120)
            + Arguments {"-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p", "-g",
                "12", "-bf", "2", "-output_ts_offset", "95443.5"});
    const auto hashes = pictureHashes(clip);
    auto source = FrameSource::open(indexOf(clip), {pictureBytes, 1});
    ASSERT_TRUE(source);
    for (const std::int64_t k : {100, 20, 52, 53, 47, 119, 0}) {
        const auto frame = source->frame({k});
        ASSERT_TRUE(frame) << frame.error().detail;
        EXPECT_EQ(hashOf(frame->view()), hashes.at(static_cast<std::size_t>(k))) << k;
    }
}

TEST(SourceOfTwinStamps, TellsTheFramesApart)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "fast.mkv",
        movingPicture(40, "2000", "160x120") + Arguments {"-c:v", "ffv1", "-g", "4"});
    const auto hashes = pictureHashes(clip);
    auto source = FrameSource::open(indexOf(clip), {pictureBytes, 1});
    ASSERT_TRUE(source);
    for (std::int64_t k = 39; k >= 0; --k) {
        const auto frame = source->frame({k});
        ASSERT_TRUE(frame) << frame.error().detail;
        EXPECT_EQ(hashOf(frame->view()), hashes.at(static_cast<std::size_t>(k))) << k;
    }
}

} // namespace

} // namespace twinlamp::tests
