// SPDX-License-Identifier: GPL-3.0-or-later
// What comes to the window from outside: dropped files, arguments, a first start.
#include "core/session/edit.h"
#include "tests/support/temporary_folder.h"
#include "tests/ui/clips.h"
#include "tests/ui/session_helpers.h"
#include "tests/ui/wait_for.h"
#include "ui/main_window.h"
#include "ui/pages/bench_page.h"
#include "ui/pages/rig_page.h"
#include "ui/theme/theme.h"
#include "ui/widgets/ask_bar.h"
#include "ui/widgets/page_bar.h"

#include <QAction>
#include <QApplication>
#include <QDropEvent>
#include <QMimeData>
#include <QSettings>
#include <QThreadPool>
#include <QUndoStack>
#include <QUrl>

#include <fstream>
#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using tests::waitFor;

class WindowOnScreen : public ::testing::Test
{
protected:
    WindowOnScreen()
    {
        QSettings().clear();
        m_theme = std::make_unique<Theme>(*qApp);
        m_window = std::make_unique<MainWindow>(*m_theme, m_pool);
        m_window->show();
        QCoreApplication::processEvents();
    }

    ~WindowOnScreen() override
    {
        m_window.reset();
        m_pool.waitForDone();
        m_theme.reset();
        qApp->setStyleSheet({}); // other tests look at widgets as Qt makes them
    }

    /// Drops files on the window as a file manager does.
    void drop(const std::vector<std::filesystem::path>& files)
    {
        QMimeData data;
        QList<QUrl> urls;
        for (const auto& file : files) {
            urls << QUrl::fromLocalFile(QString::fromStdString(file.string()));
        }
        data.setUrls(urls);
        QDragEnterEvent enter({50, 50}, Qt::CopyAction, &data, Qt::LeftButton, {});
        QCoreApplication::sendEvent(m_window.get(), &enter);
        EXPECT_TRUE(enter.isAccepted());
        QDropEvent event({50, 50}, Qt::CopyAction, &data, Qt::LeftButton, {});
        QCoreApplication::sendEvent(m_window.get(), &event);
    }

    [[nodiscard]] const session::Session& session() { return m_window->document().session(); }

    bool waitUntilMeasured()
    {
        return waitFor([this] {
            return !session().clips.empty() && session().clips.back().measurement
                && !m_window->bench().desk().queue().running();
        });
    }

    twinlamp::tests::TemporaryFolder m_folder;
    QThreadPool m_pool;
    std::unique_ptr<Theme> m_theme;
    std::unique_ptr<MainWindow> m_window;
};

} // namespace

TEST_F(WindowOnScreen, DroppedClipOpensASessionOfItsOwnAndIsMeasured)
{
    const auto film = tests::filmed(tests::smallScene(), m_folder.path(), "hangar.mp4");
    drop({film.file});
    ASSERT_TRUE(waitUntilMeasured());
    EXPECT_EQ(m_window->document().path().filename(), "hangar.twinlamp");
    EXPECT_EQ(session().clips.back().measurement->presses.size(), film.truth.presses.size());
}

TEST_F(WindowOnScreen, DroppedSessionIsOpened)
{
    const auto file = m_folder / "club.twinlamp";
    {
        auto written = tests::newSession(file);
        tests::addMeasuredClip(written, "narrow", {25.0, 26.0, 24.0});
        ASSERT_TRUE(written.close().has_value());
    }
    drop({file});
    EXPECT_EQ(m_window->document().path(), file);
    EXPECT_EQ(session().settings.size(), 1U);
    EXPECT_FALSE(m_window->bench().desk().queue().running()); // nothing is decoded again
}

TEST_F(WindowOnScreen, ArgumentOpensAsADropDoes)
{
    const auto film = tests::filmed(tests::smallScene(), m_folder.path(), "argument.mp4");
    m_window->openAtStart({film.file});
    ASSERT_TRUE(waitUntilMeasured());
    EXPECT_EQ(m_window->document().path().filename(), "argument.twinlamp");
}

TEST_F(WindowOnScreen, LastSessionOpensAtTheNextStart)
{
    const auto file = m_folder / "last.twinlamp";
    ASSERT_TRUE(m_window->createSession(file));
    m_window.reset();
    m_window = std::make_unique<MainWindow>(*m_theme, m_pool);
    m_window->openAtStart({});
    EXPECT_EQ(m_window->document().path(), file);
}

TEST_F(WindowOnScreen, SessionThatIsNoneIsToldAndTheOpenOneStays)
{
    const auto file = m_folder / "mine.twinlamp";
    ASSERT_TRUE(m_window->createSession(file));
    const auto broken = m_folder / "broken.twinlamp";
    std::ofstream(broken) << "not a session";
    drop({broken});
    EXPECT_TRUE(m_window->notices().isAsking(QStringLiteral("session")));
    EXPECT_EQ(m_window->document().path(), file);
}

TEST_F(WindowOnScreen, FootageColoursStandOutInBothSchemes)
{
    for (const SchemeChoice choice : {SchemeChoice::Light, SchemeChoice::Dark}) {
        m_theme->choose(choice);
        for (const ColourRole role : {ColourRole::Reference, ColourRole::Goggle}) {
            EXPECT_GE(contrastRatio(footageColours()[role], Qt::black), 4.5);
        }
    }
}

TEST_F(WindowOnScreen, UndoInTheMenuSaysWhatItTakesBack)
{
    const auto entry = [&](const QString& start) -> const QAction* {
        for (const QAction* action : m_window->findChildren<QAction*>()) {
            if (action->text().startsWith(start)) {
                return action;
            }
        }
        return nullptr;
    };
    ASSERT_TRUE(m_window->createSession(m_folder / "undo.twinlamp"));
    const QAction* undo = entry(QStringLiteral("Undo"));
    ASSERT_NE(undo, nullptr);
    EXPECT_EQ(undo->text(), QStringLiteral("Undo"));
    EXPECT_FALSE(undo->isEnabled());
    SessionDocument& document = m_window->document();
    document.push(
        session::addSetting(document.session(), session::newId<session::SettingId>(), "narrow"));
    EXPECT_EQ(undo->text(), QStringLiteral("Undo: add link setting narrow"));
    EXPECT_TRUE(undo->isEnabled());
    document.history()->undo();
    EXPECT_EQ(undo->text(), QStringLiteral("Undo"));
    EXPECT_EQ(
        entry(QStringLiteral("Redo"))->text(), QStringLiteral("Redo: add link setting narrow"));
}

TEST_F(WindowOnScreen, PagesAreReachedByKeyAndAClipDroppedOnTheRigPageIsAskedAbout)
{
    ASSERT_TRUE(m_window->createSession(m_folder / "pages.twinlamp"));
    SessionDocument& document = m_window->document();
    session::Rig rig;
    rig.id = session::newId<session::RigId>();
    rig.name = "tripod";
    ASSERT_TRUE(document.push(session::addRig(document.session(), rig)));
    EXPECT_EQ(m_window->pageBar().current(), 0);
    for (QAction* action : m_window->findChildren<QAction*>()) {
        if (action->shortcut() == QKeySequence(Qt::CTRL | Qt::ALT | Qt::Key_2)) {
            action->trigger();
        }
    }
    EXPECT_EQ(m_window->pageBar().current(), 1);
    EXPECT_TRUE(m_window->rig().isVisible());
    drop({m_folder / "check.mp4"});
    EXPECT_TRUE(m_window->rig().asks().isAsking(QStringLiteral("check-result")));
    EXPECT_TRUE(session().clips.empty()) << "it is no clip of a link setting";
}

} // namespace twinlamp::ui
