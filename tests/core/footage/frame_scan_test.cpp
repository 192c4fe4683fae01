// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_scan.h"
#include "core/footage/scan_plan.h"
#include "tests/core/footage/clips.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <mutex>

namespace twinlamp::tests {

namespace {

using footage::ClipIndex;
using footage::PictureView;
using footage::planScan;
using footage::ScanChunk;

/// Frames with a keyframe every `gop`, decoded in the order shown.
ClipIndex regularIndex(std::int64_t frames, std::int64_t gop)
{
    ClipIndex index;
    for (std::int64_t k = 0; k < frames; ++k) {
        const bool keyframe = k % gop == 0;
        index.entries.push_back({k, -1, static_cast<std::int32_t>(k), keyframe});
        if (keyframe) {
            index.keyframes.push_back({k});
        }
    }
    return index;
}

void expectCovers(const std::vector<ScanChunk>& chunks, FrameRange range)
{
    ASSERT_FALSE(chunks.empty());
    EXPECT_EQ(chunks.front().frames.first, range.first);
    EXPECT_EQ(chunks.back().frames.last, range.last);
    for (std::size_t i = 1; i < chunks.size(); ++i) {
        EXPECT_EQ(chunks[i].frames.first, chunks[i - 1].frames.last);
    }
}

TEST(ScanPlan, CutsAtKeyframesAndCoversTheRange)
{
    const ClipIndex index = regularIndex(1000, 30);
    for (const FrameRange range : {FrameRange {{0}, {1000}}, FrameRange {{17}, {613}},
             FrameRange {{30}, {60}}, FrameRange {{31}, {32}}}) {
        for (const int threads : {1, 2, 7}) {
            const auto chunks = planScan(index, range, threads);
            expectCovers(chunks, range);
            for (std::size_t i = 1; i < chunks.size(); ++i) {
                EXPECT_EQ(chunks[i].frames.first.value % 30, 0);
            }
        }
    }
}

TEST(ScanPlan, KeepsTheFirstChunksShortAndTheLastOnesManyEnough)
{
    const auto chunks = planScan(regularIndex(10'000, 1), {{0}, {10'000}}, 2);
    EXPECT_LE(chunks.front().frames.frameCount(), 120);
    EXPECT_GE(chunks.size(), 12U);
}

TEST(ScanPlan, SharesThreadsWhereThereAreTooFewGops)
{
    const auto one = planScan(regularIndex(300, 1000), {{0}, {300}}, 4);
    ASSERT_EQ(one.size(), 1U);
    EXPECT_EQ(one.front().decoderThreads, 4);
    const auto three = planScan(regularIndex(300, 100), {{0}, {300}}, 2);
    ASSERT_EQ(three.size(), 3U);
    EXPECT_EQ(three[0].decoderThreads, 1);
    EXPECT_EQ(three[1].decoderThreads, 1);
    EXPECT_EQ(three[2].decoderThreads, 2);
    EXPECT_TRUE(planScan(regularIndex(300, 100), {{5}, {5}}, 2).empty());
}

TEST(ScanPlan, RunsOnPastTheNextKeyframeWhereFramesNeedIt)
{
    // Shown 0 to 5, keyframes 0 and 4; frames 2 and 3 are stored after keyframe 4 (an open GOP).
    ClipIndex index;
    const std::array<std::int32_t, 6> order {0, 1, 3, 4, 2, 5};
    for (std::size_t k = 0; k < order.size(); ++k) {
        index.entries.push_back({static_cast<std::int64_t>(k), -1, order.at(k), k == 0 || k == 4});
    }
    index.keyframes = {{0}, {4}};
    // Too short to be cut: the wanted length is more than a GOP. The first chunk alone is asked
    // for.
    const auto chunks = planScan(index, {{0}, {4}}, 1);
    ASSERT_EQ(chunks.size(), 1U);
    EXPECT_EQ(chunks.front().lastPacket, 4);
}

class ScanOfAClip : public testing::Test
{
protected:
    TemporaryFolder m_folder;
    std::filesystem::path m_clip = makeClip(m_folder, "a.mp4",
        movingPicture(120)
            + Arguments {"-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p", "-g",
                "15", "-bf", "2"});
    std::shared_ptr<const ClipIndex> m_index = indexOf(m_clip);
};

TEST_F(ScanOfAClip, VisitsTheRangeOnly)
{
    for (const FrameRange range : {FrameRange {{20}, {50}}, FrameRange {{0}, {1}},
             FrameRange {{119}, {120}}, FrameRange {{7}, {7}}}) {
        std::vector<std::int64_t> seen;
        std::mutex mutex;
        const auto report = footage::scanFrames(*m_index, range,
            [&](FrameIndex k, const PictureView&, int) {
                const std::scoped_lock lock(mutex);
                seen.push_back(k.value);
            },
            {2}, {});
        ASSERT_TRUE(report.hasValue());
        std::ranges::sort(seen);
        ASSERT_EQ(static_cast<std::int64_t>(seen.size()), range.frameCount());
        for (std::size_t i = 0; i < seen.size(); ++i) {
            EXPECT_EQ(seen[i], range.first.value + static_cast<std::int64_t>(i));
        }
        EXPECT_GE(report.value().framesDecoded, range.frameCount());
    }
}

TEST_F(ScanOfAClip, DescribesThePicture)
{
    std::atomic<int> visits {0};
    const auto report = footage::scanFrames(*m_index, {{0}, {3}},
        [&](FrameIndex, const PictureView& view, int) {
            ++visits;
            EXPECT_EQ(view.layout, footage::PlaneLayout::Yuv);
            EXPECT_EQ(view.bitDepth, 8);
            EXPECT_EQ(view.widthPx(), 160);
            EXPECT_EQ(view.heightPx(), 120);
            EXPECT_EQ(view.planes[2].widthPx, 80);
            EXPECT_EQ(view.planes[2].heightPx, 60);
        },
        {1}, {});
    ASSERT_TRUE(report.hasValue());
    EXPECT_EQ(visits, 3);
}

TEST_F(ScanOfAClip, ReportsEveryFrameOnce)
{
    std::vector<std::int64_t> reports;
    const JobControl control {{}, [&](std::int64_t done, std::int64_t total) {
                                  EXPECT_EQ(total, 120);
                                  reports.push_back(done);
                              }};
    ASSERT_TRUE(footage::scanFrames(
        *m_index, m_index->all(), [](FrameIndex, const PictureView&, int) {}, {2}, control)
                    .hasValue());
    ASSERT_EQ(reports.size(), 120U);
    EXPECT_TRUE(std::ranges::is_sorted(reports));
    EXPECT_EQ(reports.back(), 120);
}

TEST_F(ScanOfAClip, StopsSoonAfterItIsAsked)
{
    std::stop_source stop;
    std::atomic<int> visits {0};
    std::chrono::steady_clock::time_point asked;
    const auto outcome = footage::scanFrames(*m_index, m_index->all(),
        [&](FrameIndex, const PictureView&, int) {
            if (++visits == 10) {
                asked = std::chrono::steady_clock::now();
                stop.request_stop();
            }
        },
        {2}, {stop.get_token(), {}});
    const auto waited = std::chrono::steady_clock::now() - asked;
    EXPECT_TRUE(outcome.isCancelled());
    EXPECT_LE(visits, 10 + 2); // a frame of each worker may be under way
    // The aim is 50 ms; a busy test machine gets more.
    EXPECT_LT(waited, std::chrono::milliseconds(500));
}

TEST_F(ScanOfAClip, DoesNothingWhereItWasStoppedBefore)
{
    std::stop_source stop;
    stop.request_stop();
    int visits = 0;
    EXPECT_TRUE(footage::scanFrames(*m_index, m_index->all(),
        [&](FrameIndex, const PictureView&, int) { ++visits; }, {1},
        {stop.get_token(),
            {}}).isCancelled());
    EXPECT_EQ(visits, 0);
}

TEST(ScanThreads, AreAsManyAsAskedFor)
{
    EXPECT_EQ(footage::scanThreads({3}), 3);
    EXPECT_GE(footage::scanThreads({0}), 1);
}

} // namespace

} // namespace twinlamp::tests
