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

class PanelCorners : public FootageViewInWindow
{
protected:
    void SetUp() override
    {
        FootageViewInWindow::SetUp();
        m_view.togglePanelCorners();
        ASSERT_EQ(m_view.regions()->panelCorners, quadOf({160, 30, 140, 120}));
    }

    static QuadPx cornersOf(const QSignalSpy& spy) { return spy.back().front().value<QuadPx>(); }
};

TEST_F(PanelCorners, EachIsPulledByItsHandle)
{
    QSignalSpy moved(&m_view, &FootageView::cornersMoved);
    pull(at(300, 30), at(310, 45));
    ASSERT_EQ(moved.count(), 1);
    EXPECT_EQ(cornersOf(moved), (QuadPx {{CornerPx {160, 30}, {310, 45}, {300, 150}, {160, 150}}}));
    EXPECT_EQ(m_view.regions()->panel, (RectPx {160, 30, 150, 120})) << "the rectangle around";
}

TEST_F(PanelCorners, AreMovedTogetherByTheInside)
{
    QSignalSpy moved(&m_view, &FootageView::cornersMoved);
    pull(at(180, 130), at(170, 135));
    ASSERT_EQ(moved.count(), 1);
    EXPECT_EQ(cornersOf(moved), quadOf({150, 35, 140, 120}));
}

TEST_F(PanelCorners, AreNudgedByArrowsOneAfterTheOther)
{
    QSignalSpy moved(&m_view, &FootageView::cornersMoved);
    QTest::keyClick(&m_view, Qt::Key_Right);
    EXPECT_EQ(cornersOf(moved), quadOf({161, 30, 140, 120})) << "no corner picked: all of them";
    QTest::keyClick(&m_view, Qt::Key_C);
    EXPECT_EQ(m_view.pickedCorner(), 0U);
    QTest::keyClick(&m_view, Qt::Key_Down, Qt::ShiftModifier);
    QTest::keyClick(&m_view, Qt::Key_C);
    QTest::keyClick(&m_view, Qt::Key_Left);
    EXPECT_EQ(cornersOf(moved), (QuadPx {{CornerPx {161, 40}, {300, 30}, {301, 150}, {161, 150}}}));
    QTest::keyClick(&m_view, Qt::Key_Escape);
    EXPECT_EQ(m_view.pickedCorner(), std::nullopt);
    EXPECT_EQ(m_view.pickedRegion(), RegionKind::Panel) << "Escape lets go of the corner first";
}

TEST_F(PanelCorners, TakeNoPointOutsideTheirOutline)
{
    pull(at(160, 30), at(220, 60));
    QSignalSpy moved(&m_view, &FootageView::cornersMoved);
    pull(at(175, 45), at(178, 45)); // in the rectangle around, but beside the panel
    EXPECT_EQ(moved.count(), 0);
    EXPECT_EQ(m_view.pickedRegion(), std::nullopt);
}

TEST_F(PanelCorners, BecomeTheRectangleAroundThemAgain)
{
    pull(at(160, 30), at(150, 36));
    QSignalSpy moved(&m_view, &FootageView::regionMoved);
    m_view.togglePanelCorners();
    ASSERT_EQ(moved.count(), 1);
    EXPECT_EQ(moved.front().at(0).value<RegionKind>(), RegionKind::Panel);
    EXPECT_EQ(moved.front().at(1).value<RectPx>(), (RectPx {150, 30, 150, 120}));
    EXPECT_FALSE(m_view.regions()->panelCorners);
}

TEST_F(PanelCorners, StayWhereNothingMayBeEdited)
{
    m_view.setEditable(false);
    QSignalSpy corners(&m_view, &FootageView::cornersMoved);
    QSignalSpy rect(&m_view, &FootageView::regionMoved);
    pull(at(300, 30), at(310, 45));
    QTest::keyClick(&m_view, Qt::Key_Right);
    m_view.togglePanelCorners();
    EXPECT_EQ(corners.count() + rect.count(), 0);
}

} // namespace twinlamp::ui
