// SPDX-License-Identifier: GPL-3.0-or-later
// Every codec and container against FFmpeg's own tools: frame counts, stamps, and each picture in
// whatever order it is asked for.
#include "core/footage/frame_scan.h"
#include "core/footage/frame_source.h"
#include "tests/core/footage/clip_kinds.h"

#include <algorithm>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <mutex>
#include <numeric>
#include <random>

namespace twinlamp::tests {

namespace {

using footage::Frame;
using footage::FrameSource;

class EveryClipKind : public testing::TestWithParam<ClipKind>
{
protected:
    void SetUp() override
    {
        m_clip = makeClip(m_folder, GetParam());
        m_index = indexOf(m_clip);
    }

    void readHashes()
    {
        m_hashes = pictureHashes(m_clip,
            GetParam().viewedAs.empty() ? Arguments {}
                                        : Arguments {"-pix_fmt", GetParam().viewedAs});
        ASSERT_EQ(m_index->frameCount(), static_cast<std::int64_t>(m_hashes.size()));
    }

    [[nodiscard]] std::string hashOfFrame(FrameSource& source, std::int64_t k) const
    {
        const auto frame = source.frame({k});
        if (!frame) {
            return frame.error().detail;
        }
        EXPECT_EQ(frame->number().value, k);
        return hashOf(frame->view());
    }

    void expectInOrder(const std::vector<std::int64_t>& order, std::size_t cacheBytes) const
    {
        auto source = FrameSource::open(m_index, {cacheBytes, 1});
        ASSERT_TRUE(source) << source.error().detail;
        for (const std::int64_t k : order) {
            EXPECT_EQ(hashOfFrame(*source, k), m_hashes.at(static_cast<std::size_t>(k)))
                << "frame " << k;
        }
    }

    [[nodiscard]] std::vector<std::int64_t> forwards() const
    {
        std::vector<std::int64_t> order(m_hashes.size());
        std::iota(order.begin(), order.end(), 0);
        return order;
    }

    TemporaryFolder m_folder;
    std::filesystem::path m_clip;
    std::shared_ptr<const footage::ClipIndex> m_index;
    std::vector<std::string> m_hashes;
};

// Room for a few pictures of 160 x 120: most have to be decoded again.
constexpr std::size_t smallCache = std::size_t {1} << 17U;
constexpr std::size_t largeCache = std::size_t {1} << 26U;

TEST_P(EveryClipKind, HasTheFramesThatFfprobeCounts)
{
    EXPECT_EQ(m_index->frameCount(), countedFrames(m_clip));
    EXPECT_TRUE(m_index->notes.empty());
    ASSERT_FALSE(m_index->keyframes.empty());
    EXPECT_EQ(m_index->keyframes.front().value, 0);
    const TemporaryFolder cache;
    const auto first = footage::indexClip(m_clip, cache.path(), {});
    const auto second = footage::indexClip(m_clip, cache.path(), {});
    ASSERT_TRUE(first.hasValue());
    ASSERT_TRUE(second.hasValue());
    EXPECT_EQ(first.value(), *m_index);
    EXPECT_EQ(second.value(), *m_index) << "through the cache";
}

TEST_P(EveryClipKind, GivesEachPictureForwardsBackwardsAndShuffled)
{
    readHashes();
    std::vector<std::int64_t> order = forwards();
    expectInOrder(order, largeCache);
    std::ranges::reverse(order);
    expectInOrder(order, smallCache);
    const unsigned seed = std::random_device {}();
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::ranges::shuffle(order, std::mt19937(seed));
    expectInOrder(order, smallCache);
}

TEST_P(EveryClipKind, IsScannedPictureByPicture)
{
    readHashes();
    for (const int threads : {1, 2, 5}) {
        std::vector<std::string> seen(m_hashes.size());
        std::vector<int> times(m_hashes.size());
        std::mutex mutex;
        const auto report = footage::scanFrames(*m_index, m_index->all(),
            [&](FrameIndex k, const footage::PictureView& view, int worker) {
                std::string hash = hashOf(view);
                const std::scoped_lock lock(mutex);
                EXPECT_LT(worker, threads);
                seen.at(static_cast<std::size_t>(k.value)) = std::move(hash);
                ++times.at(static_cast<std::size_t>(k.value));
            },
            {threads}, {});
        ASSERT_TRUE(report.hasValue());
        EXPECT_TRUE(report.value().missing.empty());
        EXPECT_EQ(report.value().firstDecodeError, "");
        EXPECT_EQ(seen, m_hashes);
        EXPECT_THAT(times, testing::Each(1));
    }
}

INSTANTIATE_TEST_SUITE_P(Footage, EveryClipKind, testing::ValuesIn(clipKinds()),
    [](const testing::TestParamInfo<ClipKind>& kind) { return kind.param.name; });

} // namespace

} // namespace twinlamp::tests
