// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/session_helpers.h"
#include "tests/ui/wait_for.h"
#include "ui/plots/qcp.h"
#include "ui/plots/trace_plot.h"

#include <QSignalSpy>
#include <QTest>

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <limits>

namespace twinlamp::ui {

namespace {

std::shared_ptr<const ClipTraces> longTraces(std::size_t frames)
{
    auto traces = std::make_shared<ClipTraces>();
    for (std::size_t k = 0; k < frames; ++k) {
        traces->exposureStart.push_back(realTimeFromMs(static_cast<double>(k)));
        traces->reference.push_back(k % 800 < 400 ? 0.02F : 0.6F);
        traces->goggle.push_back(k % 800 < 425 ? 0.03F : 0.5F);
    }
    return traces;
}

class TracePlotInWindow : public ::testing::Test
{
protected:
    void SetUp() override
    {
        m_plot.resize(800, 200);
        m_plot.show();
        ASSERT_TRUE(QTest::qWaitForWindowExposed(&m_plot));
        QCoreApplication::processEvents();
    }

    void showPress()
    {
        m_plot.setTraces(longTraces(2'000));
        m_plot.setPresses({tests::effectivePress(0, 400.0, 425.0)}, 0);
        m_plot.showSpan({380.0, 480.0});
        QCoreApplication::processEvents();
    }

    /// The widget that takes the mouse, and where a place of the plot lies in it.
    QWidget* canvas() { return m_plot.findChild<QCustomPlot*>(); }

    QPoint onCanvas(double ms, Lane lane)
    {
        return canvas()->mapFrom(&m_plot, m_plot.positionOf(realTimeFromMs(ms), lane));
    }

    TracePlot m_plot;
};

} // namespace

TEST_F(TracePlotInWindow, LongTracesAreDrawnWithFewPoints)
{
    m_plot.setTraces(longTraces(200'000));
    m_plot.showAll();
    QCoreApplication::processEvents();
    EXPECT_GT(m_plot.drawnPoints(), 100);
    // Two points for each pixel column of two lines.
    EXPECT_LE(m_plot.drawnPoints(), 4 * m_plot.width());
    m_plot.showSpan({1'000.0, 1'100.0});
    EXPECT_LE(m_plot.drawnPoints(), 2 * 105);
}

TEST_F(TracePlotInWindow, FramesThatWereNotReadLeaveTheLineOpen)
{
    auto traces = std::make_shared<ClipTraces>(*longTraces(20'000));
    std::fill_n(traces->reference.begin() + 5'000, 10'000, std::numeric_limits<float>::quiet_NaN());
    m_plot.setTraces(traces);
    m_plot.showAll();
    QCoreApplication::processEvents();
    const QCPGraph* graph = m_plot.findChild<QCustomPlot*>()->graph(0);
    ASSERT_NE(graph, nullptr);
    const auto gap = std::ranges::count_if(*graph->data(), [](const QCPGraphData& point) {
        return std::isnan(point.value) && point.key > 5'100.0 && point.key < 14'900.0;
    });
    EXPECT_GT(gap, 0);
    EXPECT_FALSE(std::ranges::any_of(*graph->data(), [](const QCPGraphData& point) {
        return !std::isnan(point.value) && point.key > 5'100.0 && point.key < 14'900.0;
    }));
}

TEST_F(TracePlotInWindow, ClickAsksForThatTime)
{
    showPress();
    QSignalSpy asked(&m_plot, &TracePlot::timeAsked);
    QTest::mouseClick(canvas(), Qt::LeftButton, {}, onCanvas(460.0, Lane::Reference));
    ASSERT_EQ(asked.count(), 1);
    // A pixel is 100 ms / 700 px or so.
    EXPECT_NEAR(toMs(asked.front().front().value<RealTime>()), 460.0, 0.5);
}

TEST_F(TracePlotInWindow, PulledMarkIsToldWhereItWasLetGo)
{
    showPress();
    QSignalSpy moved(&m_plot, &TracePlot::markMoved);
    const QPoint from = onCanvas(425.0, Lane::Goggle);
    const QPoint to = onCanvas(432.0, Lane::Goggle);
    QTest::mousePress(canvas(), Qt::LeftButton, {}, from);
    QTest::mouseMove(canvas(), from + QPoint(10, 0));
    QTest::mouseMove(canvas(), to);
    QTest::mouseRelease(canvas(), Qt::LeftButton, {}, to);
    ASSERT_EQ(moved.count(), 1);
    EXPECT_EQ(moved.front().at(0).toInt(), 0);
    EXPECT_EQ(moved.front().at(1).value<session::Mark>(), session::Mark::FirstLight);
    EXPECT_NEAR(toMs(moved.front().at(2).value<RealTime>()), 432.0, 0.5);
}

TEST_F(TracePlotInWindow, MarksThatMayNotMoveStay)
{
    showPress();
    m_plot.setMarksMovable(false);
    QSignalSpy moved(&m_plot, &TracePlot::markMoved);
    const QPoint from = onCanvas(425.0, Lane::Goggle);
    QTest::mousePress(canvas(), Qt::LeftButton, {}, from);
    QTest::mouseMove(canvas(), from + QPoint(40, 0));
    QTest::mouseRelease(canvas(), Qt::LeftButton, {}, from + QPoint(40, 0));
    EXPECT_EQ(moved.count(), 0);
}

TEST_F(TracePlotInWindow, StaysInsideTheClip)
{
    m_plot.setTraces(longTraces(2'000));
    m_plot.showSpan({-500.0, 300.0});
    EXPECT_GE(m_plot.span().low, 0.0);
    m_plot.showSpan({1'900.0, 2'400.0});
    EXPECT_LE(m_plot.span().high, 2'000.0);
}

TEST_F(TracePlotInWindow, SteppingOutOfViewMovesTheView)
{
    m_plot.setTraces(longTraces(2'000));
    m_plot.showSpan({0.0, 100.0});
    m_plot.setFrame({1'500});
    EXPECT_LE(m_plot.span().low, 1'500.0);
    EXPECT_GE(m_plot.span().high, 1'500.0);
}

TEST_F(TracePlotInWindow, KeysStepAndJump)
{
    showPress();
    QSignalSpy steps(&m_plot, &TracePlot::stepAsked);
    QSignalSpy jumps(&m_plot, &TracePlot::pressStepAsked);
    QTest::keyClick(&m_plot, Qt::Key_Right);
    QTest::keyClick(&m_plot, Qt::Key_Left, Qt::ShiftModifier);
    QTest::keyClick(&m_plot, Qt::Key_PageDown);
    ASSERT_EQ(steps.count(), 2);
    EXPECT_EQ(steps.at(0).front().toInt(), 1);
    EXPECT_EQ(steps.at(1).front().toInt(), -10);
    ASSERT_EQ(jumps.count(), 1);
    EXPECT_TRUE(jumps.front().front().toBool());
}

TEST_F(TracePlotInWindow, SlipOfTheHandOnTheWholeClipMovesNoMark)
{
    showPress();
    m_plot.showAll();
    QCoreApplication::processEvents();
    QSignalSpy moved(&m_plot, &TracePlot::markMoved);
    QSignalSpy picked(&m_plot, &TracePlot::pressPicked);
    const QPoint from = onCanvas(425.0, Lane::Goggle);
    QTest::mousePress(canvas(), Qt::LeftButton, {}, from);
    QTest::mouseMove(canvas(), from + QPoint(10, 0));
    QTest::mouseRelease(canvas(), Qt::LeftButton, {}, from + QPoint(10, 0));
    EXPECT_EQ(moved.count(), 0);
    QTest::mouseClick(canvas(), Qt::LeftButton, {}, from);
    EXPECT_EQ(picked.count(), 1); // a click still takes the press
}

TEST_F(TracePlotInWindow, LengthToldAgainLeavesTheView)
{
    m_plot.setClipLength(2'000.0);
    showPress();
    m_plot.setClipLength(2'000.0);
    EXPECT_EQ(m_plot.span(), (MsSpan {380.0, 480.0}));
    m_plot.setClipLength(3'000.0);
    EXPECT_GE(m_plot.span().length(), 2'999.0);
}

} // namespace twinlamp::ui
