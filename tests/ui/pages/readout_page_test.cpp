// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/temporary_folder.h"
#include "tests/ui/session_helpers.h"
#include "tests/ui/wait_for.h"
#include "ui/models/readout_table_model.h"
#include "ui/pages/readout_page.h"
#include "ui/widgets/readout_table.h"

#include <QApplication>
#include <QClipboard>
#include <QLabel>
#include <QLineEdit>
#include <QSettings>
#include <QTest>
#include <QThreadPool>
#include <QUndoStack>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using tests::waitFor;

class ReadoutPageTest : public ::testing::Test
{
protected:
    ReadoutPageTest() { QSettings().clear(); }

    ~ReadoutPageTest() override
    {
        m_page.reset();
        m_pool.waitForDone();
    }

    void show()
    {
        auto file = tests::newSession(m_folder / "readouts.twinlamp");
        m_clip = tests::addMeasuredClip(file, "narrow", {25.0, 26.0, 27.5, 25.5});
        m_document.take(std::move(file));
        m_page = std::make_unique<ReadoutPage>(m_document, m_pool);
        QObject::connect(m_page.get(), &ReadoutPage::answered, [this] { ++m_answers; });
        m_page->resize(1200, 700);
        m_page->show();
        ASSERT_TRUE(waitForAnswer());
    }

    bool waitForAnswer()
    {
        const bool came = waitFor([this] { return m_answers > 0; });
        m_answers = 0;
        return came;
    }

    void paste(const QString& text)
    {
        QApplication::clipboard()->setText(text);
        m_page->table().goTo(0);
        QTest::keyClick(&m_page->table(), Qt::Key_V, Qt::ControlModifier);
    }

    [[nodiscard]] const std::vector<session::PressReadout>& readouts() const
    {
        return m_document.session().clips.front().readouts;
    }

    twinlamp::tests::TemporaryFolder m_folder;
    QThreadPool m_pool;
    SessionDocument m_document;
    session::ClipId m_clip;
    std::unique_ptr<ReadoutPage> m_page;
    int m_answers = 0;
};

} // namespace

TEST_F(ReadoutPageTest, TypingAndEnterGoDownTheColumn)
{
    show();
    ReadoutTable& table = m_page->table();
    table.goTo(0);
    for (const char* typed : {"28.5", "29"}) {
        QTest::keyClicks(&table, QString::fromUtf8(typed));
        auto* editor = table.findChild<QLineEdit*>();
        ASSERT_NE(editor, nullptr);
        editor->setText(QString::fromUtf8(typed));
        QTest::keyClick(editor, Qt::Key_Return);
        QCoreApplication::processEvents();
        QCoreApplication::sendPostedEvents(nullptr, QEvent::DeferredDelete); // the editor that was
    }
    EXPECT_EQ(readouts(), (std::vector<session::PressReadout> {{0, 28.5}, {1, 29.0}}));
    EXPECT_EQ(table.currentIndex().row(), 2);
    ASSERT_TRUE(waitForAnswer());
    EXPECT_TRUE(m_page->answer()->check.agreement);
    m_document.history()->undo();
    EXPECT_EQ(readouts().size(), 1U);
}

TEST_F(ReadoutPageTest, AColumnIsPastedAsOneStep)
{
    show();
    paste(QStringLiteral("28,5\n29\n30.25\n28\n"));
    ASSERT_EQ(readouts().size(), 4U);
    EXPECT_EQ(readouts()[2].latencyMs, 30.25);
    EXPECT_EQ(m_document.history()->count(), 1);
    m_document.history()->undo();
    EXPECT_TRUE(readouts().empty());
}

TEST_F(ReadoutPageTest, AColumnThatIsWrongSomewhereIsNotPastedAtAll)
{
    show();
    paste(QStringLiteral("28,5\nlate\n"));
    EXPECT_TRUE(readouts().empty());
    paste(QStringLiteral("1\n2\n3\n4\n5\n"));
    EXPECT_TRUE(readouts().empty());
    EXPECT_EQ(m_document.history()->count(), 0);
}

TEST_F(ReadoutPageTest, DeleteTakesAReadoutAway)
{
    show();
    paste(QStringLiteral("28,5\n29\n"));
    ASSERT_TRUE(waitForAnswer());
    m_page->table().goTo(1);
    QTest::keyClick(&m_page->table(), Qt::Key_Delete);
    EXPECT_EQ(readouts().size(), 1U);
}

TEST_F(ReadoutPageTest, ASettingTakesSeveralFigures)
{
    show();
    m_page->pick(report::PairsOf::Settings, {});
    ASSERT_TRUE(waitForAnswer());
    const QModelIndex cell = m_page->model().index(0, m_page->model().typedColumn());
    ASSERT_TRUE(m_page->model().setData(cell, QStringLiteral("28; 29,5"), Qt::EditRole));
    EXPECT_EQ(m_document.session().settings.front().readouts.size(), 2U);
}

} // namespace twinlamp::ui
