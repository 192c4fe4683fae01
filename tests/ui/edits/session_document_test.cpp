// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/core/session/session_samples.h"
#include "tests/ui/session_helpers.h"
#include "tests/ui/wait_for.h"
#include "ui/edits/session_document.h"

#include <QSignalSpy>

#include <algorithm>
#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using session::Session;

class DocumentInAFolder : public ::testing::Test
{
protected:
    void SetUp() override
    {
        auto file = tests::newSession(m_folder / "walk.twinlamp");
        m_clip = tests::addMeasuredClip(file, "narrow", {24.0, 25.5, 26.1});
        m_document.take(std::move(file));
    }

    session::samples::TemporaryFolder m_folder;
    SessionDocument m_document;
    session::ClipId m_clip;
};

} // namespace

TEST_F(DocumentInAFolder, UndoWalkOverRandomEdits)
{
    session::samples::Random random(20'250'101);
    std::vector<session::SharedValue<session::ClipMeasurement>> measurements {
        m_document.session().clips.front().measurement};
    std::vector<Session> states {m_document.session()};
    while (states.size() < 60) {
        const session::Edit edit
            = session::samples::randomEdit(m_document.session(), random, measurements);
        if (edit.isEmpty()) {
            continue;
        }
        ASSERT_TRUE(m_document.push(edit)) << english(edit.label);
        states.push_back(m_document.session());
    }
    QUndoStack& history = *m_document.history();
    ASSERT_EQ(history.count(), static_cast<int>(states.size()) - 1);
    for (int walk = 0; walk < 2; ++walk) {
        for (std::size_t i = states.size() - 1; i > 0; --i) {
            history.undo();
            ASSERT_EQ(m_document.session(), states[i - 1]) << "after undoing step " << i;
        }
        for (std::size_t i = 1; i < states.size(); ++i) {
            history.redo();
            ASSERT_EQ(m_document.session(), states[i]) << "after redoing step " << i;
        }
    }
    // What the window shows is what the file holds.
    const auto path = m_document.path();
    const Session shown = m_document.session();
    m_document.close();
    const auto reopened = session::store::SessionFile::open(path);
    ASSERT_TRUE(reopened.has_value());
    EXPECT_EQ(reopened->session(), shown);
}

TEST_F(DocumentInAFolder, FailedEditChangesNothingAndTells)
{
    QSignalSpy failed(&m_document, &SessionDocument::failed);
    QSignalSpy changed(&m_document, &SessionDocument::changed);
    const Session before = m_document.session();
    EXPECT_FALSE(m_document.push(session::renameSetting(before, before.settings[0].id, "")));
    EXPECT_EQ(failed.count(), 1);
    EXPECT_EQ(changed.count(), 0);
    EXPECT_EQ(m_document.session(), before);
    EXPECT_EQ(m_document.history()->count(), 0);
}

TEST_F(DocumentInAFolder, EditForAnotherStateIsNoStep)
{
    const Session before = m_document.session();
    const auto stale = session::renameSetting(before, before.settings[0].id, "wide");
    ASSERT_TRUE(m_document.push(session::renameSetting(before, before.settings[0].id, "other")));
    QSignalSpy failed(&m_document, &SessionDocument::failed);
    EXPECT_FALSE(m_document.push(stale));
    EXPECT_EQ(failed.count(), 1);
    EXPECT_EQ(m_document.history()->count(), 1);
    EXPECT_EQ(m_document.session().settings[0].name, "other");
}

TEST_F(DocumentInAFolder, NudgesOfOneGestureAreOneStep)
{
    const Session before = m_document.session();
    measure::MeasureOptions options = before.clips[0].options;
    for (int x = 1; x <= 5; ++x) {
        options.reference = RectPx {10 + x, 10, 20, 20};
        ASSERT_TRUE(m_document.push(
            session::changeOptions(m_document.session(), m_clip, options), Joining::SameGesture));
    }
    EXPECT_EQ(m_document.history()->count(), 1);
    m_document.history()->undo();
    EXPECT_EQ(m_document.session(), before);
}

TEST_F(DocumentInAFolder, MeasurementJoinsTheStepThatItFollowsFrom)
{
    const Session before = m_document.session();
    measure::MeasureOptions options = before.clips[0].options;
    options.reference = RectPx {12, 10, 20, 20};
    options.goggle = RectPx {100, 60, 24, 24};
    ASSERT_TRUE(m_document.push(session::changeOptions(before, m_clip, options)));
    session::samples::Random random(4);
    ASSERT_TRUE(
        m_document.fileMeasurement(m_clip, session::samples::clipResult(random, 6, 500), options));
    EXPECT_EQ(m_document.history()->count(), 1);
    EXPECT_EQ(m_document.session().clips[0].measurement->presses.size(), 6U);
    ASSERT_NE(m_document.traces(m_document.session().clips[0]), nullptr);
    EXPECT_EQ(m_document.traces(m_document.session().clips[0])->frameCount(), 500U);
    m_document.history()->undo();
    EXPECT_EQ(m_document.session(), before);
}

TEST_F(DocumentInAFolder, MeasurementOfAClipThatNoStepTouchedIsNoStep)
{
    ASSERT_TRUE(m_document.push(
        session::renameSetting(m_document.session(), m_document.session().settings[0].id, "wide")));
    session::samples::Random random(4);
    ASSERT_TRUE(
        m_document.fileMeasurement(m_clip, session::samples::clipResult(random, 2, 100), {}));
    EXPECT_EQ(m_document.history()->count(), 1);
    m_document.history()->undo();
    EXPECT_EQ(m_document.session().settings[0].name, "narrow");
    EXPECT_EQ(m_document.session().clips[0].measurement->presses.size(), 2U);
}

TEST_F(DocumentInAFolder, MeasurementBelongsToItsStepThoughOthersCameLater)
{
    const Session before = m_document.session();
    measure::MeasureOptions options = before.clips[0].options;
    options.searchMs = 90.0;
    ASSERT_TRUE(m_document.push(session::changeOptions(before, m_clip, options)));
    ASSERT_TRUE(m_document.push(
        session::renameSetting(m_document.session(), before.settings[0].id, "wide")));
    session::samples::Random random(4);
    ASSERT_TRUE(
        m_document.fileMeasurement(m_clip, session::samples::clipResult(random, 2, 100), options));
    const Session after = m_document.session();
    EXPECT_EQ(m_document.history()->count(), 2);
    m_document.history()->undo();
    m_document.history()->undo();
    EXPECT_EQ(m_document.session(), before);
    m_document.history()->redo();
    m_document.history()->redo();
    EXPECT_EQ(m_document.session(), after);
}

TEST_F(DocumentInAFolder, MeasurementEndsStepsThatWereMadeForTheOldOne)
{
    ASSERT_TRUE(m_document.push(
        session::setAsidePress(m_document.session(), {m_clip, 0}, "switch bounced")));
    m_document.history()->undo();
    session::samples::Random random(4);
    ASSERT_TRUE(
        m_document.fileMeasurement(m_clip, session::samples::clipResult(random, 2, 100), {}));
    EXPECT_FALSE(m_document.history()->canRedo());
    m_document.history()->undo();
    EXPECT_EQ(m_document.session().clips[0].measurement->presses.size(), 3U);
}

// A fill-in is nobody's step: what was done by hand stays, what was undone can come again, and no
// step leads back to a measurement with gaps.
TEST_F(DocumentInAFolder, FillingInLeavesTheHistoryAsItIs)
{
    session::samples::Random random(4);
    const ClipResult sparse = session::samples::clipResult(random, 6, 2000);
    measure::MeasureOptions options = m_document.session().clips[0].options;
    options.searchMs = 90.0;
    ASSERT_TRUE(m_document.push(session::changeOptions(m_document.session(), m_clip, options)));
    ASSERT_TRUE(m_document.fileMeasurement(m_clip, sparse, options));
    ASSERT_TRUE(m_document.push(
        session::setAsidePress(m_document.session(), {m_clip, 2}, "switch bounced")));
    ASSERT_TRUE(m_document.push(session::moveMark(
        m_document.session(), {m_clip, 4}, session::Mark::Onset, realTimeFromMs(1101.0))));
    m_document.history()->undo();
    const auto corrections = m_document.session().clips[0].corrections;

    ClipResult full = sparse;
    full.scan.mode = ScanMode::Full;
    full.presses.insert(full.presses.begin(), session::samples::press(6, 20.0, 25.0));
    for (std::size_t i = 0; i < full.presses.size(); ++i) {
        full.presses[i].index = static_cast<int>(i);
    }
    QSignalSpy changed(&m_document, &SessionDocument::changed);
    ASSERT_TRUE(m_document.fillIn(m_clip, full, options));
    EXPECT_EQ(changed.count(), 1);
    const auto clip = [&]() -> const session::Clip& { return m_document.session().clips[0]; };
    EXPECT_EQ(clip().measurement->scan.mode, ScanMode::Full);
    EXPECT_EQ(clip().options, options);
    ASSERT_EQ(clip().corrections.size(), 1U);
    EXPECT_EQ(clip().corrections[0].press, 3) << "the same press, counted anew";
    EXPECT_EQ(clip().corrections[0].choice, corrections[0].choice);
    EXPECT_EQ(m_document.history()->count(), 3);
    EXPECT_EQ(m_document.history()->index(), 2);

    m_document.history()->redo();
    ASSERT_EQ(clip().corrections.size(), 2U);
    EXPECT_EQ(clip().corrections[1].press, 5);
    EXPECT_EQ(clip().measurement->scan.mode, ScanMode::Full);
    const Session last = m_document.session();
    m_document.history()->undo();
    m_document.history()->undo();
    EXPECT_TRUE(clip().corrections.empty());
    EXPECT_EQ(clip().measurement->scan.mode, ScanMode::Full);
    m_document.history()->undo();
    EXPECT_EQ(clip().measurement->presses.size(), 3U) << "the measurement before that";
    for (int step = 0; step < 3; ++step) {
        m_document.history()->redo();
    }
    EXPECT_EQ(m_document.session(), last);
    EXPECT_EQ(std::ranges::count_if(*m_document.changesSoFar(),
                  [](const session::HistoryEntry& entry) {
                      return english(entry.label) == "read the other frames of narrow.mp4";
                  }),
        1);
    EXPECT_FALSE(m_document.fillIn(m_clip, full, options)) << "nothing is left out any more";
}

TEST_F(DocumentInAFolder, MovedMarkKeepsWhatWasMeasuredBesideIt)
{
    ASSERT_TRUE(m_document.push(session::moveMark(
        m_document.session(), {m_clip, 1}, session::Mark::FirstLight, realTimeFromMs(626.5))));
    const auto presses = session::effectivePresses(m_document.session().clips[0]);
    EXPECT_NEAR(toMs(*presses[1].press.latency), 26.5, 1e-6);
    EXPECT_NEAR(toMs(*presses[1].measured.latency), 25.5, 1e-6);
    EXPECT_TRUE(hasFlag(presses[1].press.flags, Flag::CorrectedByHand));
    m_document.history()->undo();
    EXPECT_NEAR(toMs(*session::effectivePresses(m_document.session().clips[0])[1].press.latency),
        25.5, 1e-6);
}

// A second window sees what the first one changes, with its traces, and can change nothing.
TEST_F(DocumentInAFolder, SecondWindowFollowsTheFirst)
{
    auto opened = session::store::SessionFile::open(m_folder / "walk.twinlamp");
    ASSERT_TRUE(opened);
    SessionDocument second;
    second.take(std::move(*opened));
    ASSERT_TRUE(second.isReadOnly());
    QSignalSpy changed(&second, &SessionDocument::changed);
    ASSERT_TRUE(m_document.push(
        session::setAsidePress(m_document.session(), {m_clip, 1}, "switch bounced")));
    ASSERT_TRUE(tests::waitFor([&] { return changed.count() > 0; }));
    EXPECT_EQ(second.session(), m_document.session());
    EXPECT_FALSE(
        second.push(session::setAsidePress(second.session(), {m_clip, 0}, "not from here")));
    EXPECT_EQ(second.session(), m_document.session());
}

} // namespace twinlamp::ui
