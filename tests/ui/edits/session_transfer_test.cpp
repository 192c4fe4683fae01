// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/temporary_folder.h"
#include "tests/ui/session_helpers.h"
#include "tests/ui/wait_for.h"
#include "ui/edits/session_transfer.h"

#include <QThreadPool>

#include <fstream>
#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using tests::waitFor;

class TransferTest : public ::testing::Test
{
protected:
    TransferTest()
    {
        auto file = tests::newSession(m_folder / "here.twinlamp");
        tests::addMeasuredClip(file, "narrow", {24.0, 25.5, 26.1});
        m_document.take(std::move(file));
        QObject::connect(&m_transfer, &SessionTransfer::merged,
            [this](const MergeOutcome& outcome) { m_merged = outcome; });
        QObject::connect(&m_transfer, &SessionTransfer::relinked,
            [this](const RelinkOutcome& outcome) { m_relinked = outcome; });
        QObject::connect(&m_transfer, &SessionTransfer::failed,
            [this](const QString& sentence) { m_failed = sentence; });
        QObject::connect(&m_transfer, &SessionTransfer::missingCounted,
            [this](int clips) { m_missing = clips; });
    }

    ~TransferTest() override
    {
        m_transfer.stop();
        m_pool.waitForDone();
    }

    twinlamp::tests::TemporaryFolder m_folder;
    QThreadPool m_pool;
    SessionDocument m_document;
    SessionTransfer m_transfer {m_document, m_pool};
    std::optional<MergeOutcome> m_merged;
    std::optional<RelinkOutcome> m_relinked;
    std::optional<int> m_missing;
    QString m_failed;
};

} // namespace

TEST_F(TransferTest, AMergeIsOneStepThatCanBeUndoneAndDoneAgain)
{
    {
        auto there = tests::newSession(m_folder / "there.twinlamp");
        tests::addMeasuredClip(there, "wide", {21.0, 22.5});
    }
    const session::Session before = m_document.session();
    m_transfer.merge(m_folder / "there.twinlamp");
    ASSERT_TRUE(waitFor([this] { return m_merged || !m_failed.isEmpty(); }));
    ASSERT_TRUE(m_merged) << m_failed.toStdString();
    EXPECT_FALSE(m_merged->notes.isEmpty());
    EXPECT_EQ(m_merged->step, 1);
    const session::Session merged = m_document.session();
    ASSERT_EQ(merged.settings.size(), 2U);
    // The traces came along, and are there after undo and redo too.
    EXPECT_NE(m_document.traces(merged.clips.back()), nullptr);
    m_document.history()->undo();
    EXPECT_EQ(m_document.session(), before);
    m_document.history()->redo();
    EXPECT_EQ(m_document.session(), merged);
    EXPECT_NE(m_document.traces(m_document.session().clips.back()), nullptr);
}

TEST_F(TransferTest, ASessionIsNotMergedWithItselfOrWithWhatIsNone)
{
    m_transfer.merge(m_document.path());
    EXPECT_FALSE(m_failed.isEmpty());
    m_failed.clear();
    std::ofstream(m_folder / "text.twinlamp") << "no session";
    m_transfer.merge(m_folder / "text.twinlamp");
    ASSERT_TRUE(waitFor([this] { return !m_failed.isEmpty(); }));
    EXPECT_TRUE(m_failed.contains(QStringLiteral("text.twinlamp"))) << m_failed.toStdString();
    EXPECT_EQ(m_document.history()->count(), 0);
}

TEST_F(TransferTest, ClipsThatAreNowhereAreCountedAndToldByName)
{
    m_transfer.countMissing();
    ASSERT_TRUE(waitFor([this] { return m_missing.has_value(); }));
    EXPECT_EQ(*m_missing, 1);
    m_transfer.relink(m_folder / ".");
    ASSERT_TRUE(waitFor([this] { return m_relinked || !m_failed.isEmpty(); }));
    ASSERT_TRUE(m_relinked) << m_failed.toStdString();
    EXPECT_EQ(m_relinked->found, 0);
    EXPECT_EQ(m_relinked->missing.size(), 1);
}

TEST_F(TransferTest, ASessionThatIsReplacedDropsWhatWasRead)
{
    {
        auto there = tests::newSession(m_folder / "there.twinlamp");
        tests::addMeasuredClip(there, "wide", {21.0, 22.5});
    }
    m_transfer.merge(m_folder / "there.twinlamp");
    m_document.take(tests::newSession(m_folder / "other.twinlamp"));
    m_pool.waitForDone();
    QCoreApplication::processEvents();
    EXPECT_FALSE(m_merged);
    EXPECT_TRUE(m_document.session().settings.empty());
}

} // namespace twinlamp::ui
