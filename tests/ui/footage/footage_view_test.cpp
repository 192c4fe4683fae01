// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/footage_view.h"

#include <QSignalSpy>
#include <QTest>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

class FootageViewInWindow : public ::testing::Test
{
protected:
    void SetUp() override
    {
        m_view.resize(640, 360);
        m_view.show();
        ASSERT_TRUE(QTest::qWaitForWindowExposed(&m_view));
        QImage picture(320, 180, QImage::Format_RGB32);
        picture.fill(Qt::black);
        m_view.setPicture({0}, picture);
        m_view.setRegions(RegionSet {{40, 60, 40, 40}, {200, 70, 30, 30},
            RectPx {160, 30, 140, 120}, RegionSource::Located});
    }

    /// Places of the picture are twice as far from each other in this view.
    static QPoint at(int x, int y) { return {2 * x, 2 * y}; }

    void pull(QPoint from, QPoint to)
    {
        QTest::mousePress(&m_view, Qt::LeftButton, {}, from);
        QTest::mouseMove(&m_view, (from + to) / 2);
        QTest::mouseMove(&m_view, to);
        QTest::mouseRelease(&m_view, Qt::LeftButton, {}, to);
    }

    FootageView m_view;
};

} // namespace

TEST_F(FootageViewInWindow, PullingTheMiddleMovesARegion)
{
    QSignalSpy moved(&m_view, &FootageView::regionMoved);
    pull(at(60, 80), at(75, 70));
    ASSERT_EQ(moved.count(), 1);
    EXPECT_EQ(moved.front().at(0).value<RegionKind>(), RegionKind::Reference);
    EXPECT_EQ(moved.front().at(1).value<RectPx>(), (RectPx {55, 50, 40, 40}));
}

TEST_F(FootageViewInWindow, PullingACornerResizes)
{
    QSignalSpy moved(&m_view, &FootageView::regionMoved);
    pull(at(80, 100), at(90, 110));
    ASSERT_EQ(moved.count(), 1);
    EXPECT_EQ(moved.front().at(1).value<RectPx>(), (RectPx {40, 60, 50, 50}));
}

TEST_F(FootageViewInWindow, LampInsideThePanelIsTakenFirst)
{
    QSignalSpy moved(&m_view, &FootageView::regionMoved);
    pull(at(215, 85), at(220, 85));
    ASSERT_EQ(moved.count(), 1);
    EXPECT_EQ(moved.front().at(0).value<RegionKind>(), RegionKind::Goggle);
}

TEST_F(FootageViewInWindow, ArrowsNudgeThePickedRegion)
{
    QSignalSpy moved(&m_view, &FootageView::regionMoved);
    QTest::keyClick(&m_view, Qt::Key_2);
    EXPECT_EQ(m_view.pickedRegion(), RegionKind::Goggle);
    QTest::keyClick(&m_view, Qt::Key_Right);
    QTest::keyClick(&m_view, Qt::Key_Up, Qt::ShiftModifier);
    QTest::keyClick(&m_view, Qt::Key_Right, Qt::ControlModifier);
    ASSERT_EQ(moved.count(), 3);
    EXPECT_EQ(moved.at(0).at(1).value<RectPx>(), (RectPx {201, 70, 30, 30}));
    EXPECT_EQ(moved.at(1).at(1).value<RectPx>(), (RectPx {201, 60, 30, 30}));
    EXPECT_EQ(moved.at(2).at(1).value<RectPx>(), (RectPx {201, 60, 31, 30}));
}

TEST_F(FootageViewInWindow, ArrowsStepFramesWhenNoRegionIsPicked)
{
    QSignalSpy steps(&m_view, &FootageView::stepAsked);
    QTest::keyClick(&m_view, Qt::Key_Left);
    QTest::keyClick(&m_view, Qt::Key_Right, Qt::ShiftModifier);
    ASSERT_EQ(steps.count(), 2);
    EXPECT_EQ(steps.at(0).front().toInt(), -1);
    EXPECT_EQ(steps.at(1).front().toInt(), 10);
}

TEST_F(FootageViewInWindow, NothingMovesWhereNothingMayBeEdited)
{
    m_view.setEditable(false);
    QSignalSpy moved(&m_view, &FootageView::regionMoved);
    pull(at(60, 80), at(75, 70));
    QTest::keyClick(&m_view, Qt::Key_Right);
    EXPECT_EQ(moved.count(), 0);
}

TEST_F(FootageViewInWindow, PullingHoldsInZoomedPictures)
{
    m_view.pickRegion(RegionKind::Reference);
    m_view.zoomBy(2.0);
    const QPointF from = m_view.transform().toView(QPointF(60, 80));
    const QPointF to = m_view.transform().toView(QPointF(63, 80));
    QSignalSpy moved(&m_view, &FootageView::regionMoved);
    pull(from.toPoint(), to.toPoint());
    ASSERT_EQ(moved.count(), 1);
    EXPECT_EQ(moved.front().at(1).value<RectPx>(), (RectPx {43, 60, 40, 40}));
}

TEST_F(FootageViewInWindow, RegionsOfFootageThatIsMissingCannotBePulled)
{
    m_view.clear();
    m_view.setRegions(
        RegionSet {{40, 60, 40, 40}, {200, 70, 30, 30}, std::nullopt, RegionSource::Located});
    m_view.setProblem(QStringLiteral("The footage was not found."));
    QSignalSpy moved(&m_view, &FootageView::regionMoved);
    pull(at(60, 80), at(75, 70));
    EXPECT_EQ(moved.count(), 0);
}

} // namespace twinlamp::ui
