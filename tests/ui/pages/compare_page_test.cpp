// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/temporary_folder.h"
#include "tests/ui/session_helpers.h"
#include "tests/ui/wait_for.h"
#include "ui/pages/compare_page.h"
#include "ui/plots/latency_chart.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QKeyEvent>
#include <QLabel>
#include <QSettings>
#include <QThreadPool>
#include <QToolButton>
#include <QUndoStack>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using tests::waitFor;

class ComparePageTest : public ::testing::Test
{
protected:
    ComparePageTest() { QSettings().clear(); }

    ~ComparePageTest() override
    {
        m_page.reset();
        m_pool.waitForDone();
    }

    void openWith(const std::vector<std::string>& settings)
    {
        auto file = tests::newSession(m_folder / "compare.twinlamp");
        double first = 25.0;
        for (const std::string& name : settings) {
            m_clips.push_back(
                tests::addMeasuredClip(file, name, {first, first + 1.0, first + 2.5, first + 0.5}));
            first += 6.0;
        }
        m_document.take(std::move(file));
    }

    void show()
    {
        m_page = std::make_unique<ComparePage>(m_document, m_pool);
        QObject::connect(m_page.get(), &ComparePage::answered, [this] { ++m_answers; });
        m_page->resize(1200, 700);
        m_page->show();
    }

    bool waitForAnswer()
    {
        return waitFor([this] { return m_answers > 0 && !m_page->isWorking(); });
    }

    [[nodiscard]] QString allWords() const
    {
        QString words;
        for (const QLabel* label : m_page->findChildren<QLabel*>()) {
            words += label->text() + QLatin1Char('\n');
        }
        return words;
    }

    [[nodiscard]] session::SettingId setting(std::size_t at) const
    {
        return m_document.session().settings[at].id;
    }

    twinlamp::tests::TemporaryFolder m_folder;
    QThreadPool m_pool;
    SessionDocument m_document;
    std::vector<session::ClipId> m_clips;
    std::unique_ptr<ComparePage> m_page;
    int m_answers = 0;
};

} // namespace

TEST_F(ComparePageTest, WithoutASessionItSaysWhatToBring)
{
    show();
    EXPECT_TRUE(allWords().contains(QStringLiteral("Open a session")));
    EXPECT_FALSE(m_page->isWorking());
}

TEST_F(ComparePageTest, OneSettingIsShownAlone)
{
    openWith({"narrow"});
    show();
    ASSERT_TRUE(waitForAnswer());
    EXPECT_FALSE(m_page->answer()->comparison);
    ASSERT_TRUE(m_page->answer()->alone);
    EXPECT_EQ(m_page->answer()->alone->firstLight.summary.n, 4);
    EXPECT_EQ(m_page->chart().data().series.size(), 1U);
    EXPECT_TRUE(allWords().contains(QStringLiteral("How long does it take?"), Qt::CaseInsensitive));
    EXPECT_TRUE(allWords().contains(QStringLiteral("restart the link")));
}

TEST_F(ComparePageTest, EitherOfTwoSettingsIsShownAloneWhenAsked)
{
    openWith({"narrow", "wide"});
    show();
    ASSERT_TRUE(waitForAnswer());
    m_answers = 0;
    m_page->pick(setting(1), {});
    ASSERT_TRUE(waitForAnswer());
    ASSERT_TRUE(m_page->answer()->alone);
    EXPECT_EQ(m_page->answer()->alone->firstLight.name, "wide");
}

TEST_F(ComparePageTest, FirstTwoSettingsAreComparedAndOneRunCannotTell)
{
    openWith({"narrow", "wide"});
    show();
    ASSERT_TRUE(waitForAnswer());
    EXPECT_EQ(m_page->answer()->comparison->a.name, "narrow");
    EXPECT_EQ(m_page->chart().data().series.size(), 2U);
    EXPECT_TRUE(allWords().contains(QStringLiteral("Cannot tell yet")));
    EXPECT_TRUE(allWords().contains(QStringLiteral("Bins of ")));
}

TEST_F(ComparePageTest, EditsOfTheSessionAreFollowed)
{
    openWith({"narrow", "wide"});
    show();
    ASSERT_TRUE(waitForAnswer());
    EXPECT_EQ(m_page->answer()->comparison->b.summary.n, 4);
    m_answers = 0;
    ASSERT_TRUE(m_document.push(
        session::setAsidePress(m_document.session(), {m_clips[1], 2}, "lamp was covered")));
    ASSERT_TRUE(waitForAnswer());
    EXPECT_EQ(m_page->answer()->comparison->b.summary.n, 3);
    m_answers = 0;
    m_document.history()->undo();
    ASSERT_TRUE(waitForAnswer());
    EXPECT_EQ(m_page->answer()->comparison->b.summary.n, 4);
}

TEST_F(ComparePageTest, HiddenPageWorksNothingOut)
{
    openWith({"narrow", "wide"});
    show();
    ASSERT_TRUE(waitForAnswer());
    m_page->hide();
    m_answers = 0;
    m_page->pick(setting(1), setting(0));
    EXPECT_FALSE(m_page->isWorking());
    m_page->show();
    ASSERT_TRUE(waitForAnswer());
    EXPECT_EQ(m_page->answer()->comparison->a.name, "wide");
}

TEST_F(ComparePageTest, SwappedAndRestoredAfterARestart)
{
    openWith({"narrow", "wide", "far"});
    show();
    ASSERT_TRUE(waitForAnswer());
    m_page->pick(setting(2), setting(0));
    m_page->findChild<QToolButton*>()->click();
    EXPECT_EQ(m_page->picked()->a, setting(0));
    EXPECT_EQ(m_page->picked()->b, setting(2));
    m_page.reset();
    m_answers = 0;
    show();
    EXPECT_EQ(m_page->picked()->b, setting(2));
    ASSERT_TRUE(waitForAnswer());
    EXPECT_TRUE(m_page->answer()->ranking) << "three settings are ranked";
}

TEST_F(ComparePageTest, LateLimitIsTheSessionsAndCanBeUndone)
{
    openWith({"narrow", "wide"});
    show();
    ASSERT_TRUE(waitForAnswer());
    m_page->findChildren<QDoubleSpinBox*>().front()->setValue(30.0);
    EXPECT_EQ(m_document.session().lateLimit, latencyFromMs(30.0));
    ASSERT_TRUE(waitFor([this] { return m_page->chart().data().limitMs.has_value(); }));
    EXPECT_TRUE(m_page->answer()->comparison->byRuns.late);
    m_document.history()->undo();
    EXPECT_FALSE(m_document.session().lateLimit);
    EXPECT_EQ(m_page->findChildren<QDoubleSpinBox*>().front()->value(), 0.0);
}

TEST_F(ComparePageTest, OneSettingTwiceIsRefusedInPlace)
{
    openWith({"narrow", "wide"});
    show();
    ASSERT_TRUE(waitForAnswer());
    m_page->pick(setting(0), setting(0));
    EXPECT_FALSE(m_page->picked());
    EXPECT_TRUE(allWords().contains(QStringLiteral("One setting, twice")));
}

TEST_F(ComparePageTest, ChartIsReadWithTheArrowKeys)
{
    openWith({"narrow", "wide"});
    show();
    ASSERT_TRUE(waitForAnswer());
    LatencyChart& chart = m_page->chart();
    EXPECT_FALSE(chart.readAt());
    for (int i = 0; i < 400; ++i) {
        QKeyEvent press(QEvent::KeyPress, Qt::Key_Right, Qt::NoModifier);
        QCoreApplication::sendEvent(&chart, &press);
    }
    ASSERT_TRUE(chart.readAt());
    EXPECT_TRUE(chart.reading().contains(QStringLiteral("A 100"))) << "the end of the axis";
    EXPECT_FALSE(chart.grab().isNull());
}

} // namespace twinlamp::ui
