// SPDX-License-Identifier: GPL-3.0-or-later
// Clips of a rig that states a shortest hold: figures come from the frames around the switchings,
// the others are read later.
#include "core/session/rig_values.h"
#include "tests/ui/pages/bench_fixture.h"
#include "ui/footage/footage_pane.h"
#include "ui/footage/playhead.h"
#include "ui/widgets/ask_bar.h"
#include "ui/widgets/clip_facts_panel.h"

#include <QElapsedTimer>
#include <QLabel>

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

namespace {

using tests::waitFor;

constexpr double hold = 400.0;

/// But for the doubt of a lamp's afterglow, which is told from more frames of the full scan.
void expectSameLatencies(const std::vector<Press>& a, const std::vector<Press>& b)
{
    ASSERT_EQ(a.size(), b.size());
    for (std::size_t i = 0; i < a.size(); ++i) {
        EXPECT_EQ(a[i].reference, b[i].reference) << i;
        EXPECT_EQ(a[i].latency, b[i].latency) << i;
        EXPECT_EQ(a[i].fullFrame, b[i].fullFrame) << i;
        EXPECT_EQ(a[i].flags, b[i].flags) << i;
    }
}

class BenchOfARig : public tests::BenchOnASession
{
protected:
    BenchOfARig() { stateHold(hold); }

    void stateHold(double ms)
    {
        const session::Session& session = m_document.session();
        session::Rig rig = session.rigs.empty() ? session::Rig {} : session.rigs.front();
        rig.shortestHold = latencyFromMs(ms);
        if (rig.id) {
            EXPECT_TRUE(m_document.push(session::changeRig(session, rig)));
            return;
        }
        rig.id = session::newId<session::RigId>();
        rig.name = "tripod";
        EXPECT_TRUE(m_document.push(session::addRig(session, rig)));
    }

    static film::Scene scene(int presses = 4)
    {
        film::Scene scene = tests::smallScene();
        scene.lamps.programme.presses = presses;
        scene.lamps.programme.startMs = 420.0;
        scene.lamps.programme.holdMs = {1.02 * hold, 1.5 * hold};
        scene.lamps.programme.gapMs = {1.02 * hold, 2.0 * hold};
        scene.camera.captureRate = {240, 1};
        scene.file.gop = 30;
        return scene;
    }

    [[nodiscard]] MeasureQueue const& queue() const { return m_page->desk().queue(); }

    /// Until the figures of all clips are there; the hand never rests, so that nothing is filled
    /// in.
    bool waitUntilSparse()
    {
        return waitFor([this] {
            m_page->desk().makeRoom();
            return !queue().running() && queue().waiting() == 0 && clip().measurement;
        });
    }

    bool waitUntilFilledIn()
    {
        return waitFor([this] {
            return std::ranges::all_of(m_document.session().clips, [](const session::Clip& each) {
                return each.measurement && each.measurement->scan.mode == ScanMode::Full;
            });
        });
    }

    [[nodiscard]] bool factsSay(const QString& words) const
    {
        const auto labels = m_page->findChild<ClipFactsPanel*>()->findChildren<QLabel*>();
        return std::ranges::any_of(
            labels, [&](const QLabel* label) { return label->text().contains(words); });
    }

    [[nodiscard]] std::ptrdiff_t framesMissing() const
    {
        return std::ranges::count_if(
            m_page->desk().traces()->reference, [](float light) { return std::isnan(light); });
    }
};

} // namespace

TEST_F(BenchOfARig, FiguresComeFromAPartOfTheFramesAndTheRestIsReadLater)
{
    add(scene());
    ASSERT_TRUE(waitUntilSparse());
    const session::ClipMeasurement sparse = *clip().measurement;
    EXPECT_EQ(sparse.scan.mode, ScanMode::Sparse);
    EXPECT_EQ(sparse.scan.shortestHoldMs, hold);
    EXPECT_TRUE(sparse.options.fromRig.shortestHold);
    EXPECT_FALSE(clip().options.shortestHoldMs) << "the rig's hold is not the tester's own";
    EXPECT_EQ(sparse.presses.size(), 8U);
    EXPECT_TRUE(m_page->desk().isToBeFilledIn());
    EXPECT_FALSE(queue().fillingIn());
    EXPECT_TRUE(factsSay(QStringLiteral("not known yet")));
    EXPECT_FALSE(factsSay(QStringLiteral("--scan full")));
    EXPECT_GT(framesMissing(), 0);
    const int steps = m_document.history()->count();
    const QString step = m_document.history()->undoText();

    ASSERT_TRUE(waitUntilFilledIn());
    EXPECT_EQ(framesMissing(), 0);
    expectSameLatencies(clip().measurement->presses, sparse.presses);
    EXPECT_EQ(clip().measurement->options, sparse.options);
    EXPECT_FALSE(session::isOutOfDate(m_document.session(), clip()));
    EXPECT_FALSE(m_page->desk().isToBeFilledIn());
    EXPECT_FALSE(factsSay(QStringLiteral("not known yet")));
    EXPECT_EQ(m_document.history()->count(), steps);
    EXPECT_EQ(m_document.history()->undoText(), step);
    stateHold(500.0);
    EXPECT_FALSE(queue().running()) << "figures from every frame rest on no hold";
    m_document.history()->undo();
    m_document.history()->undo();
    EXPECT_TRUE(m_document.session().clips.empty());
}

TEST_F(BenchOfARig, WorkOfTheHandOutlivesFillingIn)
{
    add(scene());
    ASSERT_TRUE(waitUntilSparse());
    ASSERT_EQ(clip().measurement->scan.mode, ScanMode::Sparse);
    const session::ClipId id = clip().id;
    m_page->desk().setAside({id, 2}, QStringLiteral("switch bounced"));
    m_page->desk().setReadout(0, 27.0);
    m_document.history()->undo();
    ASSERT_TRUE(m_document.history()->canRedo());
    ASSERT_TRUE(waitUntilFilledIn());
    ASSERT_EQ(clip().corrections.size(), 1U);
    EXPECT_EQ(clip().corrections[0].press, 2);
    ASSERT_TRUE(m_document.history()->canRedo()) << "what was undone can come again";
    m_document.history()->redo();
    EXPECT_EQ(clip().readouts.size(), 1U);
    m_document.history()->undo();
    m_document.history()->undo();
    EXPECT_TRUE(clip().corrections.empty());
    EXPECT_EQ(clip().measurement->scan.mode, ScanMode::Full) << "no step leads back to gaps";
}

TEST_F(BenchOfARig, StepByHandStopsFillingInAndItGoesOnLater)
{
    add(scene(8));
    ASSERT_TRUE(waitFor([this] { return queue().fillingIn().has_value(); }));
    QElapsedTimer since;
    since.start();
    m_page->footage().playhead().step(1);
    ASSERT_TRUE(waitFor([this] { return !queue().fillingIn(); }));
    EXPECT_LT(since.elapsed(), 1'500); // 50 ms are aimed at; the machine may be busy
    EXPECT_EQ(clip().measurement->scan.mode, ScanMode::Sparse);
    EXPECT_TRUE(m_page->desk().isToBeFilledIn());
    EXPECT_TRUE(waitUntilFilledIn());
}

TEST_F(BenchOfARig, NewClipGoesBeforeFillingIn)
{
    add(scene(8), "first.mp4");
    const auto second = tests::filmed(scene(), m_folder.path(), "second.mp4");
    ASSERT_TRUE(waitFor([this] { return queue().fillingIn().has_value(); }));
    m_page->addClips({QString::fromStdString(second.file.string())});
    EXPECT_EQ(queue().running(), clip().id) << "at once";
    ASSERT_TRUE(waitFor([this] { return clip().measurement; }));
    EXPECT_EQ(m_document.session().clips[0].measurement->scan.mode, ScanMode::Sparse);
    EXPECT_TRUE(waitUntilFilledIn());
}

TEST_F(BenchOfARig, SessionThatWasClosedBeforeIsFilledInWhenItIsOpenAgain)
{
    add(scene());
    ASSERT_TRUE(waitUntilSparse());
    ASSERT_EQ(clip().measurement->scan.mode, ScanMode::Sparse);
    const std::vector<Press> presses = clip().measurement->presses;
    const auto path = m_document.path();
    m_document.close();
    auto again = session::store::SessionFile::open(path);
    ASSERT_TRUE(again) << again.error().detail;
    m_document.take(std::move(*again));
    ASSERT_TRUE(waitUntilFilledIn());
    expectSameLatencies(clip().measurement->presses, presses);
    EXPECT_EQ(framesMissing(), 0);
}

TEST_F(BenchOfARig, HoldShorterThanStatedShowsWhenAllIsReadAndIsTold)
{
    stateHold(600.0);
    film::Scene hidden = scene();
    hidden.lamps.programme.kind = film::ProgrammeKind::List;
    // The last press falls between two of the frames that are looked at first: 24 keyframes out of
    // 44, of which one is at 4250 ms and the next at 4500 ms.
    hidden.lamps.programme.edgesMs = {700.0, 1400.0, 2100.0, 2800.0, 4280.0, 4345.0};
    hidden.durationMs = 5400.0;
    add(hidden);
    ASSERT_TRUE(waitUntilSparse());
    ASSERT_EQ(clip().measurement->scan.mode, ScanMode::Sparse);
    ASSERT_EQ(clip().measurement->presses.size(), 4U);
    m_page->desk().setAside({clip().id, 3}, QStringLiteral("switch bounced"));
    ASSERT_TRUE(waitUntilFilledIn());
    EXPECT_EQ(clip().measurement->presses.size(), 6U);
    ASSERT_EQ(clip().corrections.size(), 1U);
    EXPECT_EQ(clip().corrections[0].press, 3);
    EXPECT_TRUE(m_page->asks().isAsking(QStringLiteral("otherwise")));
}

TEST_F(BenchOfARig, SparseScanThatWasAskedForStays)
{
    auto film = tests::filmed(scene(), m_folder.path(), "asked.mp4");
    m_page->addClips({QString::fromStdString(film.file.string())});
    measure::MeasureOptions options = clip().options;
    options.scan = ScanMode::Sparse;
    ASSERT_TRUE(m_document.push(session::changeOptions(m_document.session(), clip().id, options)));
    ASSERT_TRUE(waitFor([this] { return clip().measurement && !queue().running(); }));
    EXPECT_EQ(clip().measurement->scan.mode, ScanMode::Sparse);
    EXPECT_FALSE(m_page->desk().isToBeFilledIn());
    EXPECT_TRUE(factsSay(QStringLiteral("that the rig states")));
}

} // namespace twinlamp::ui
