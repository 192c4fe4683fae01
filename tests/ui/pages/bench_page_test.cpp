// SPDX-License-Identifier: GPL-3.0-or-later
// The whole way in the window: a clip comes in, figures come out, hands correct them, undo.
#include "tests/ui/pages/bench_fixture.h"
#include "ui/footage/footage_pane.h"
#include "ui/footage/footage_view.h"
#include "ui/models/setting_figures.h"
#include "ui/pages/bench_page.h"
#include "ui/plots/qcp.h"
#include "ui/plots/trace_pane.h"
#include "ui/plots/trace_plot.h"
#include "ui/widgets/answer_strip.h"
#include "ui/widgets/ask_bar.h"
#include "ui/widgets/press_table.h"
#include "ui/widgets/session_panel.h"

#include <QPushButton>
#include <QSignalSpy>

#include <algorithm>
#include <fstream>
#include <numeric>

namespace twinlamp::ui {

namespace {

using tests::BenchOnASession;
using tests::smallScene;
using tests::waitFor;

/// Marks of one kind on the traces.
std::int64_t countMarks(const TracePlot& plot, session::Mark mark)
{
    return std::ranges::count(plot.marks(), mark, &TraceMark::mark);
}

void pull(QWidget* widget, QPoint from, QPoint to)
{
    QTest::mousePress(widget, Qt::LeftButton, {}, from);
    QTest::mouseMove(widget, (from + to) / 2);
    QTest::mouseMove(widget, to);
    QTest::mouseRelease(widget, Qt::LeftButton, {}, to);
}

bool clickAnswer(BenchPage& page, const QString& text)
{
    for (auto* button : page.asks().findChildren<QPushButton*>()) {
        if (button->text() == text) {
            QTest::mouseClick(button, Qt::LeftButton);
            return true;
        }
    }
    return false;
}

} // namespace

TEST_F(BenchOnASession, ClipBecomesMarksRowsAndAHistogram)
{
    const auto film = add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    const auto edges = static_cast<std::int64_t>(film.truth.presses.size());
    EXPECT_EQ(static_cast<std::int64_t>(clip().measurement->presses.size()), edges);
    const TracePlot& plot = m_page->traces().plot();
    EXPECT_EQ(countMarks(plot, session::Mark::Onset), edges);
    EXPECT_EQ(countMarks(plot, session::Mark::FirstLight), edges);
    EXPECT_EQ(m_page->pressTable().model().rowCount(), static_cast<int>(edges));
    const auto figures = settingFigures(m_document.session());
    ASSERT_EQ(figures.size(), 1U);
    const stats::Histogram& histogram = figures[0].histogram;
    EXPECT_EQ(std::accumulate(histogram.counts.begin(), histogram.counts.end(),
                  histogram.under + histogram.over),
        edges / 2); // the on edges
    ASSERT_TRUE(m_page->footage().view().regions().has_value());
    EXPECT_EQ(m_page->footage().view().regions()->reference, clip().measurement->regions.reference);
}

TEST_F(BenchOnASession, PulledRegionMeasuresAnewAndUndoesInOneStep)
{
    add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    const session::Session before = m_document.session();
    FootageView& view = m_page->footage().view();
    ASSERT_TRUE(waitFor([&] { return view.transform().pictureInView().width() > 100; }));
    const RectPx region = clip().measurement->regions.reference;
    const QPointF middle = view.transform().toView(region).center();
    const QPoint by(qRound(3 * view.transform().scale()), qRound(2 * view.transform().scale()));
    pull(&view, middle.toPoint(), middle.toPoint() + by);
    ASSERT_TRUE(clip().options.reference.has_value());
    EXPECT_EQ(*clip().options.reference,
        (RectPx {region.x + 3, region.y + 2, region.width, region.height}));
    ASSERT_TRUE(waitUntilMeasured());
    EXPECT_EQ(clip().measurement->regions.reference, *clip().options.reference);
    EXPECT_EQ(clip().measurement->presses.size(), before.clips[0].measurement->presses.size());
    m_document.history()->undo();
    EXPECT_EQ(m_document.session(), before);
    EXPECT_EQ(view.regions()->reference, region);
    waitFor([] { return false; }, 100);
    EXPECT_FALSE(m_page->desk().queue().running()); // nothing is left to measure
}

TEST_F(BenchOnASession, PanelOfFourCornersMeasuresAnewAndUndoesInOneStep)
{
    const auto film = add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    ASSERT_TRUE(film.truth.regions.panel.has_value());
    const RectPx panel = *film.truth.regions.panel;
    m_page->desk().moveRegion(RegionKind::Panel, panel);
    ASSERT_TRUE(waitUntilMeasured());
    const session::Session before = m_document.session();
    QuadPx corners = quadOf(panel);
    corners.corners[2] = {corners.corners[2].x - 6, corners.corners[2].y - 4};
    m_page->desk().moveCorners(corners);
    EXPECT_EQ(clip().options.panelCorners, corners);
    EXPECT_EQ(clip().options.panel, boundingRect(corners));
    ASSERT_TRUE(waitUntilMeasured());
    EXPECT_EQ(clip().measurement->regions.panelCorners, corners);
    EXPECT_EQ(m_page->footage().view().regions()->panelCorners, corners);
    m_document.history()->undo();
    EXPECT_EQ(m_document.session(), before);
    EXPECT_FALSE(m_page->footage().view().regions()->panelCorners);
}

TEST_F(BenchOnASession, MovedPanelIsToldAtOnceAndReadExactlyWhenAsked)
{
    const auto film = add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    ASSERT_TRUE(film.truth.regions.panel.has_value());
    RectPx panel = *film.truth.regions.panel;
    panel.height -= 4;
    m_page->desk().moveRegion(RegionKind::Panel, panel);
    ASSERT_TRUE(waitUntilMeasured());
    EXPECT_EQ(clip().measurement->scan.framesDecoded, 0);
    EXPECT_TRUE(m_page->desk().restsOnLightMap());
    auto* strip = m_page->findChild<AnswerStrip*>();
    ASSERT_NE(strip, nullptr);
    const auto buttons = strip->findChildren<QPushButton*>();
    const auto exactly = std::ranges::find(
        buttons, QStringLiteral("Read moved regions exactly"), &QPushButton::text);
    ASSERT_NE(exactly, buttons.end());
    EXPECT_TRUE((*exactly)->isVisible());
    (*exactly)->click();
    ASSERT_TRUE(waitFor([&] { return !m_page->desk().restsOnLightMap(); }));
    ASSERT_TRUE(waitUntilMeasured());
    EXPECT_GT(clip().measurement->scan.framesDecoded, 0);
    EXPECT_FALSE(m_page->desk().restsOnLightMap());
    EXPECT_FALSE((*exactly)->isVisible());
}

TEST_F(BenchOnASession, ResultOfOptionsThatWereTakenBackIsDropped)
{
    add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    const session::Session before = m_document.session();
    // An undo came while the last of the work could no longer be stopped.
    MeasureTask late {clip().id, {}, clip().options};
    late.options.reference = RectPx {50, 80, 20, 20};
    auto& queue = const_cast<MeasureQueue&>(m_page->desk().queue()); // as if it had run
    Q_EMIT queue.finished(late, ClipResult {});
    EXPECT_EQ(m_document.session(), before);
}

TEST_F(BenchOnASession, PulledMarkCorrectsAPressAndUndoPutsItBack)
{
    add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    const auto measured = session::effectivePresses(clip());
    TracePlot& plot = m_page->traces().plot();
    m_page->desk().pickPress(0);
    m_page->showPressView(true);
    QCoreApplication::processEvents();
    QWidget* canvas = plot.findChild<QCustomPlot*>();
    const RealTime light = *measured[0].press.firstLight;
    const RealTime wanted = light + latencyFromMs(4.0);
    const auto place = [&](RealTime time) {
        return canvas->mapFrom(&plot, plot.positionOf(time, Lane::Goggle));
    };
    pull(canvas, place(light), place(wanted));
    const auto corrected = session::effectivePresses(clip());
    EXPECT_TRUE(corrected[0].markMoved);
    EXPECT_NEAR(toMs(*corrected[0].press.latency - *measured[0].press.latency), 4.0, 0.5);
    EXPECT_EQ(corrected[0].measured.latency, measured[0].press.latency);
    m_document.history()->undo();
    EXPECT_EQ(session::effectivePresses(clip()), measured);
    EXPECT_EQ(plot.marks(), traceMarks(measured));
}

TEST_F(BenchOnASession, PressSetAsideLeavesTheHistogramAndComesBack)
{
    add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    const auto before = settingFigures(m_document.session())[0];
    PressTableModel& table = m_page->pressTable().model();
    table.setData(table.index(0, PressTableModel::Accepted), Qt::Unchecked, Qt::CheckStateRole);
    EXPECT_EQ(settingFigures(m_document.session())[0].summary, before.summary); // reason first
    ASSERT_TRUE(clickAnswer(*m_page, QStringLiteral("switch bounced")));
    const auto without = settingFigures(m_document.session())[0];
    EXPECT_EQ(without.summary.n, before.summary.n - 1);
    EXPECT_EQ(without.summary.setAside, 1);
    EXPECT_FALSE(table.rows()[0].press.press.accepted);
    EXPECT_EQ(reasonText(table.rows()[0].press), QStringLiteral("switch bounced"));
    m_document.history()->undo();
    EXPECT_EQ(settingFigures(m_document.session())[0].summary, before.summary);
    EXPECT_TRUE(table.rows()[0].press.press.accepted);
    m_document.history()->redo();
    table.setData(table.index(0, PressTableModel::Accepted), Qt::Checked, Qt::CheckStateRole);
    EXPECT_EQ(settingFigures(m_document.session())[0].summary, before.summary);
    EXPECT_FALSE(table.rows()[0].press.choice.has_value());
}

TEST_F(BenchOnASession, RateThatTheFileLacksIsAskedForNeverAssumed)
{
    auto scene = smallScene();
    scene.file.captureRateTag = false;
    add(scene);
    ASSERT_TRUE(waitFor([&] { return m_page->asks().isAsking(QStringLiteral("rate")); }));
    EXPECT_FALSE(clip().measurement);
    EXPECT_FALSE(m_page->desk().clock().has_value());
    ASSERT_TRUE(clickAnswer(*m_page, QStringLiteral("480 frames/s")));
    EXPECT_EQ(clip().options.captureRate, (FrameRate {480, 1}));
    ASSERT_TRUE(waitUntilMeasured());
    EXPECT_EQ(clip().measurement->clip.captureRateSource, RateSource::Given);
    EXPECT_FALSE(m_page->asks().isAsking(QStringLiteral("rate")));
    EXPECT_TRUE(m_page->desk().clock().has_value());
}

TEST_F(BenchOnASession, ReopenedSessionShowsEverythingWithoutItsFootage)
{
    const auto film = add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    const session::Session before = m_document.session();
    const auto path = m_document.path();
    m_document.close();
    std::filesystem::remove(film.file);
    auto opened = session::store::SessionFile::open(path);
    ASSERT_TRUE(opened.has_value());
    m_document.take(std::move(*opened));
    waitFor([] { return false; }, 200);
    EXPECT_EQ(m_document.session(), before);
    EXPECT_FALSE(m_page->desk().queue().running());
    ASSERT_NE(m_page->desk().traces(), nullptr);
    EXPECT_EQ(m_page->traces().plot().marks(),
        traceMarks(session::effectivePresses(m_document.session().clips[0])));
    EXPECT_GT(m_page->traces().plot().drawnPoints(), 10);
    EXPECT_TRUE(m_page->desk().problem().contains(QStringLiteral("clip.mp4")));
}

TEST_F(BenchOnASession, SeveralClipsAskHowTheyBelongTogether)
{
    const auto a = tests::filmed(smallScene(), m_folder.path(), "a.mp4");
    auto other = smallScene();
    other.seed = 8;
    const auto b = tests::filmed(other, m_folder.path(), "b.mp4");
    m_page->addClips(
        {QString::fromStdString(a.file.string()), QString::fromStdString(b.file.string())});
    EXPECT_TRUE(m_document.session().clips.empty());
    ASSERT_TRUE(clickAnswer(*m_page, QStringLiteral("Yes, a run for each")));
    EXPECT_EQ(m_document.session().clips.size(), 2U);
    EXPECT_EQ(m_document.session().runs.size(), 2U);
    EXPECT_EQ(m_document.history()->count(), 1);
    m_page->desk().stop();
    waitFor([&] { return !m_page->desk().queue().running(); });
}

TEST_F(BenchOnASession, PlayingAsksFirstBecauseItCanFlash)
{
    add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    ASSERT_TRUE(waitFor([&] { return m_page->footage().playhead().frameCount() > 0; }));
    m_page->footage().togglePlay();
    EXPECT_FALSE(m_page->footage().playhead().isPlaying());
    EXPECT_TRUE(m_page->asks().isAsking(QStringLiteral("play")));
    ASSERT_TRUE(clickAnswer(*m_page, QStringLiteral("Play")));
    EXPECT_TRUE(m_page->footage().playhead().isPlaying());
}

TEST_F(BenchOnASession, SteppingGoesFromPressToPress)
{
    add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    ASSERT_TRUE(waitFor([&] { return m_page->desk().clock().has_value(); }));
    m_page->stepPress(true);
    EXPECT_EQ(m_page->desk().press(), 0);
    m_page->stepPress(true);
    EXPECT_EQ(m_page->desk().press(), 1);
    const auto presses = session::effectivePresses(clip());
    EXPECT_EQ(m_page->footage().playhead().frame(),
        m_page->desk().clock()->frameAt(*presses[1].press.reference));
    m_page->stepPress(false);
    EXPECT_EQ(m_page->desk().press(), 0);
}

TEST_F(BenchOnASession, UnreadableFileIsToldInOneSentence)
{
    const auto file = m_folder / "notes.mp4";
    std::ofstream(file) << "no video at all";
    m_page->addClips({QString::fromStdString(file.string())});
    ASSERT_TRUE(waitFor([&] { return m_page->asks().isAsking(QStringLiteral("failed")); }));
    EXPECT_FALSE(m_page->desk().queue().running());
    EXPECT_TRUE(waitFor([&] { return !m_page->desk().problem().isEmpty(); }));
}

TEST_F(BenchOnASession, ClipsThatCannotBeReadAreToldTogetherAndTakenOut)
{
    for (const char* name : {"a.mp4", "b.mp4"}) {
        std::ofstream(m_folder / name) << "no video at all";
        m_page->addClips({QString::fromStdString((m_folder / name).string())});
    }
    const QString takeOut = QStringLiteral("Take them out of the session");
    const auto offered = [&] {
        const auto buttons = m_page->asks().findChildren<QPushButton*>();
        return std::ranges::any_of(
            buttons, [&](const QPushButton* button) { return button->text() == takeOut; });
    };
    ASSERT_TRUE(waitFor(offered));
    ASSERT_TRUE(clickAnswer(*m_page, takeOut));
    EXPECT_TRUE(m_document.session().clips.empty());
    EXPECT_TRUE(m_document.session().settings.empty());
    EXPECT_FALSE(m_page->asks().isAsking(QStringLiteral("failed")));
    m_document.history()->undo();
    EXPECT_EQ(m_document.session().clips.size(), 2U);
}

TEST_F(BenchOnASession, AClipCountsOnceHoweverOftenItIsDropped)
{
    const auto film = add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    m_page->addClips({QString::fromStdString(film.file.string())});
    EXPECT_EQ(m_document.session().clips.size(), 1U);
    EXPECT_TRUE(m_page->asks().isAsking(QStringLiteral("same")));
    const auto copy = m_folder / "copy.mp4";
    std::filesystem::copy_file(film.file, copy);
    m_page->addClips({QString::fromStdString(copy.string())});
    ASSERT_EQ(m_document.session().clips.size(), 2U); // only its hash tells, once it is read
    ASSERT_TRUE(waitUntilMeasured());
    ASSERT_TRUE(waitFor([&] { return clickAnswer(*m_page, QStringLiteral("Take copy.mp4 out")); }));
    EXPECT_EQ(m_document.session().clips.size(), 1U);
}

TEST_F(BenchOnASession, ViewOfTheTracesStaysWhenAPressIsSetAside)
{
    add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    ASSERT_TRUE(waitFor([&] { return m_page->desk().clock().has_value(); }));
    m_page->desk().pickPress(1);
    m_page->showPressView(true);
    const MsSpan before = m_page->traces().plot().span();
    ASSERT_LT(before.length(), 200.0);
    m_page->desk().setAside({clip().id, 1}, QStringLiteral("switch bounced"));
    EXPECT_EQ(m_page->traces().plot().span(), before);
}

TEST_F(BenchOnASession, LampsThatAreNotFoundCanBePlacedByHand)
{
    auto scene = smallScene();
    scene.lamps.programme.presses = 0;
    add(scene);
    ASSERT_TRUE(waitFor([&] { return m_page->asks().isAsking(QStringLiteral("place")); }));
    const auto regions = m_page->footage().view().regions();
    ASSERT_TRUE(regions.has_value());
    EXPECT_LT(regions->reference.x, regions->goggle.x);
    m_page->desk().moveRegion(RegionKind::Reference, RectPx {50, 80, 20, 20});
    EXPECT_EQ(clip().options.reference, (RectPx {50, 80, 20, 20}));
    ASSERT_TRUE(waitUntilMeasured());
    EXPECT_TRUE(clip().measurement->presses.empty());
    EXPECT_FALSE(m_page->asks().isAsking(QStringLiteral("place")));
}

TEST_F(BenchOnASession, RateQuestionTellsHowTheFilePlays)
{
    auto scene = smallScene();
    scene.file.captureRateTag = false;
    add(scene);
    const auto offersPlayRate = [&] {
        const auto buttons = m_page->asks().findChildren<QPushButton*>();
        return std::ranges::any_of(buttons, [](const QPushButton* button) {
            return button->text() == QStringLiteral("30 frames/s, as the file plays");
        });
    };
    EXPECT_TRUE(waitFor(offersPlayRate));
}

TEST_F(BenchOnASession, LampsMistakenForEachOtherAreSwappedInOneStep)
{
    add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    const RegionSet right = clip().measurement->regions;
    measure::MeasureOptions wrong = clip().options;
    wrong.reference = right.goggle;
    wrong.goggle = right.reference;
    wrong.withoutPanel = true;
    wrong.searchMs = 100.0; // shorter than a hold: the other lamp's next edge is no answer
    m_document.push(session::changeOptions(m_document.session(), clip().id, wrong));
    ASSERT_TRUE(waitUntilMeasured());
    ASSERT_TRUE(m_page->asks().isAsking(QStringLiteral("unanswered")));
    ASSERT_TRUE(clickAnswer(*m_page, QStringLiteral("Swap the two lamps")));
    EXPECT_EQ(clip().options.reference, right.reference);
    EXPECT_EQ(clip().options.goggle, right.goggle);
    ASSERT_TRUE(waitUntilMeasured());
    EXPECT_FALSE(m_page->asks().isAsking(QStringLiteral("unanswered")));
    const auto& presses = clip().measurement->presses;
    EXPECT_TRUE(
        std::ranges::all_of(presses, [](const Press& press) { return press.latency.has_value(); }));
}

} // namespace twinlamp::ui
