// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/capture_clock.h"
#include "tests/core/footage/clips.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace twinlamp::tests {

namespace {

using footage::CaptureClock;
using footage::ClipIndex;

/// Uniform stamps, `step` ticks apart; `lost` frames are missing before frame `gapAt`.
ClipIndex uniformIndex(int frames, int step, std::int64_t gapAt = -1, std::int64_t lost = 0)
{
    ClipIndex index;
    index.info.timeBaseDen = 240'000;
    for (std::int64_t k = 0; k < frames; ++k) {
        const std::int64_t number = k + (gapAt >= 0 && k >= gapAt ? lost : 0);
        index.entries.push_back({number * step, -1, static_cast<std::int32_t>(k), true});
    }
    return index;
}

// Frame intervals and products from reference/measurement.md 2.1, exact fractions.
TEST(CaptureClock, CountsFramesAtTheExactRate)
{
    const ClipIndex index = uniformIndex(20'000, 1000);
    EXPECT_EQ(CaptureClock(index, {240, 1}).toReal({6}).ns, 25'000'000);
    EXPECT_EQ(CaptureClock(index, {240'000, 1001}).toReal({6}).ns, 25'025'000);
    EXPECT_EQ(CaptureClock(index, {1000, 1}).toReal({35}).ns, 35'000'000);
    EXPECT_EQ(CaptureClock(index, {960'000, 1001}).toReal({960}).ns, 1'001'000'000);
    EXPECT_EQ(CaptureClock(index, {480, 1}).toReal({1}).ns, 2'083'333); // 25/12 ms
    // Over 10 s the two clocks part by 10 ms.
    const std::int64_t apart = CaptureClock(index, {240'000, 1001}).toReal({2400}).ns
        - CaptureClock(index, {240, 1}).toReal({2400}).ns;
    EXPECT_EQ(apart, 10'000'000);
}

TEST(CaptureClock, RoundsOnceHoweverLongTheClip)
{
    const ClipIndex index = uniformIndex(144'000, 1000);
    const CaptureClock clock(index, {240'000, 1001});
    // 143999 x 1001 / 240000 s = 600.59582916666… s
    EXPECT_EQ(clock.toReal({143'999}).ns, 600'595'829'167);
}

TEST(CaptureClock, KeepsTheTrueTimeAfterAGap)
{
    const ClipIndex index = uniformIndex(600, 1000, 250, 3);
    const CaptureClock clock(index, {240, 1});
    EXPECT_EQ(clock.lostFrames(), 3);
    EXPECT_THAT(clock.framesAfterGaps(), testing::ElementsAre(FrameIndex {250}));
    EXPECT_EQ(clock.lostBefore({249}), 0);
    EXPECT_EQ(clock.lostBefore({250}), 3);
    EXPECT_EQ(clock.lostBefore({251}), 0);
    EXPECT_EQ(clock.toReal({240}).ns, 1'000'000'000);
    EXPECT_EQ(clock.toReal({477}).ns, 2'000'000'000); // 480 intervals
}

TEST(CaptureClock, FindsTheFrameAtAnInstant)
{
    const ClipIndex index = uniformIndex(600, 1000, 250, 3);
    const CaptureClock clock(index, {240, 1});
    for (const std::int64_t k : {0, 1, 249, 250, 251, 598}) {
        EXPECT_EQ(clock.frameAt(clock.toReal({k})).value, k);
        EXPECT_EQ(clock.frameAt({clock.toReal({k + 1}).ns - 1}).value, k);
    }
    EXPECT_EQ(clock.frameAt({-5}).value, 0);
    EXPECT_EQ(clock.frameAt({std::int64_t {1} << 60U}).value, 599);
}

TEST(CaptureClock, FindsFramesThatWereLeftOutOfARecording)
{
    const TemporaryFolder folder;
    const Arguments withoutThree = movingPicture(120)
        + Arguments {"-vf", "select='not(between(n,40,42))',select='not(eq(n,80))'", "-fps_mode",
            "passthrough", "-c:v", "libx264", "-g", "20", "-bf", "2", "-pix_fmt", "yuv420p"};
    for (const char* name : {"lost.mp4", "lost.mkv", "lost.ts"}) {
        const auto index = indexOf(makeClip(folder, name, withoutThree));
        const CaptureClock clock(*index, {240, 1});
        // The second filter counts what the first one left: its 80 is frame 83 of the scene.
        EXPECT_THAT(clock.framesAfterGaps(), testing::ElementsAre(FrameIndex {40}, FrameIndex {80}))
            << name;
        EXPECT_EQ(clock.lostFrames(), 4) << name;
    }
}

TEST(PlayRate, IsNotTheRateThatLibavformatGuesses)
{
    const TemporaryFolder folder;
    // 375.375 ticks a frame; r_frame_rate says 240/1 (reference/measurement.md 2.2).
    const auto index = indexOf(makeClip(folder, "a.mp4",
        movingPicture(480, "240000/1001", "64x64")
            + Arguments {"-r", "240000/1001", "-video_track_timescale", "90000", "-c:v", "mjpeg"}));
    EXPECT_EQ(index->info.timeBaseDen, 90'000);
    EXPECT_NEAR(footage::playRateHz(*index), 240'000.0 / 1001.0, 1e-3);
    EXPECT_EQ(index->entries[8].ptsTicks - index->entries[0].ptsTicks, 3003);
    EXPECT_FALSE(footage::hasUnevenStamps(*index));
}

TEST(PlayRate, LeavesLostFramesOut)
{
    EXPECT_NEAR(footage::playRateHz(uniformIndex(600, 1000, 100, 50)), 240.0, 1e-9);
    EXPECT_EQ(footage::playRateHz(uniformIndex(1, 1000)), 0.0);
}

} // namespace

} // namespace twinlamp::tests
