// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/scene.h"
#include "core/footage/frame_source.h"
#include "tests/ui/clips.h"
#include "ui/jobs/frame_fetcher.h"

#include <QSignalSpy>

#include <gtest/gtest.h>
#include <random>

namespace twinlamp::ui {

namespace {

using tests::waitFor;

class FrameFetcherOnAClip : public ::testing::Test
{
protected:
    void SetUp() override
    {
        m_index = tests::indexed(tests::filmed(tests::smallScene(), m_folder.path(), "a.mp4").file);
        ASSERT_GT(m_index->frameCount(), 100);
        m_fetcher.open(m_index);
    }

    /// The same frame read without the fetcher.
    QImage plainly(FrameIndex k)
    {
        auto source = footage::FrameSource::open(m_index, {});
        const auto rgb = footage::toRgb(*source->frame(k), m_index->info.orientation);
        return QImage(rgb.bgrx.data(), rgb.widthPx, rgb.heightPx, QImage::Format_RGB32).copy();
    }

    twinlamp::tests::TemporaryFolder m_folder;
    std::shared_ptr<const footage::ClipIndex> m_index;
    FrameFetcher m_fetcher;
};

} // namespace

TEST_F(FrameFetcherOnAClip, ShowsExactlyTheFrameAskedFor)
{
    QSignalSpy ready(&m_fetcher, &FrameFetcher::frameReady);
    for (const std::int64_t k : {0L, 77L, 12L, 13L, 11L}) {
        ready.clear();
        m_fetcher.show({k});
        ASSERT_TRUE(waitFor([&] { return !ready.isEmpty(); }));
        EXPECT_EQ(ready.front().at(0).value<FrameIndex>(), FrameIndex {k});
        EXPECT_EQ(ready.front().at(1).value<QImage>(), plainly({k})) << "frame " << k;
    }
}

TEST_F(FrameFetcherOnAClip, OnlyTheNewestOfManyWishesNeedsAnAnswer)
{
    QSignalSpy ready(&m_fetcher, &FrameFetcher::frameReady);
    for (std::int64_t k = 0; k < 100; ++k) {
        m_fetcher.show({k});
    }
    ASSERT_TRUE(waitFor([&] {
        return !ready.isEmpty() && ready.last().at(0).value<FrameIndex>() == FrameIndex {99};
    }));
    EXPECT_LT(ready.count(), 50);
}

TEST_F(FrameFetcherOnAClip, FrameOutsideTheClipHasAReason)
{
    QSignalSpy failed(&m_fetcher, &FrameFetcher::frameFailed);
    m_fetcher.show({m_index->frameCount() + 5});
    ASSERT_TRUE(waitFor([&] { return !failed.isEmpty(); }));
    EXPECT_FALSE(failed.front().at(1).toString().isEmpty());
}

TEST_F(FrameFetcherOnAClip, CloseupsAreThePartOfTheFrame)
{
    QSignalSpy ready(&m_fetcher, &FrameFetcher::cropReady);
    const RectPx part {40, 60, 32, 24};
    m_fetcher.crop({{{30}, part}, {{31}, part}});
    ASSERT_TRUE(waitFor([&] { return ready.count() == 2; }));
    EXPECT_EQ(ready.front().at(0).value<CropWish>(), (CropWish {{30}, part}));
    const QImage picture = ready.front().at(1).value<QImage>();
    EXPECT_EQ(picture.size(), QSize(32, 24));
}

TEST_F(FrameFetcherOnAClip, AnswersAboutAClosedClipAreDropped)
{
    QSignalSpy ready(&m_fetcher, &FrameFetcher::frameReady);
    m_fetcher.show({50});
    m_fetcher.open(nullptr);
    waitFor([] { return false; }, 300);
    EXPECT_EQ(ready.count(), 0);
}

} // namespace twinlamp::ui
