// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/temporary_folder.h"
#include "tests/ui/clips.h"
#include "tests/ui/session_helpers.h"
#include "ui/pages/rig_page.h"
#include "ui/widgets/ask_bar.h"
#include "ui/widgets/check_card.h"

#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QThreadPool>
#include <QToolButton>
#include <QUndoStack>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using tests::waitFor;

class RigPageTest : public ::testing::Test
{
protected:
    RigPageTest()
    {
        auto file = tests::newSession(m_folder / "rigs.twinlamp");
        tests::addMeasuredClip(file, "narrow", {25.0, 26.0, 24.0});
        m_document.take(std::move(file));
    }

    ~RigPageTest() override { m_pool.waitForDone(); }

    [[nodiscard]] const session::Session& session() const { return m_document.session(); }

    QPushButton* button(const QString& start)
    {
        for (QPushButton* each : m_page.findChildren<QPushButton*>()) {
            if (each->text().startsWith(start)) {
                return each;
            }
        }
        ADD_FAILURE() << "no button " << start.toStdString();
        return nullptr;
    }

    QLineEdit* field(const QString& placeholder)
    {
        for (QLineEdit* each : m_page.findChildren<QLineEdit*>()) {
            if (each->placeholderText() == placeholder) {
                return each;
            }
        }
        ADD_FAILURE() << "no field " << placeholder.toStdString();
        return nullptr;
    }

    void type(const QString& placeholder, const QString& text)
    {
        QLineEdit* edit = field(placeholder);
        edit->setText(text);
        Q_EMIT edit->editingFinished();
    }

    void fileZero(const std::string& date, double ms)
    {
        session::RigCheck check;
        check.id = session::newId<session::RigCheckId>();
        check.rig = m_page.rig();
        check.date = date;
        check.result.file = "check.mp4";
        check.result.figures = ZeroFigures {ms, 0.02, 0.01, -7.5, 0.2, {1, 20}, {101, 120}};
        ASSERT_TRUE(m_document.push(session::addRigCheck(session(), check)));
    }

    twinlamp::tests::TemporaryFolder m_folder;
    QThreadPool m_pool;
    SessionDocument m_document;
    RigPage m_page {m_document, m_pool};
};

} // namespace

TEST_F(RigPageTest, RigsAreAddedRenamedAndRemovedAsSteps)
{
    button(QStringLiteral("Add a rig"))->click();
    ASSERT_EQ(session().rigs.size(), 1U);
    auto* list = m_page.findChild<QListWidget*>();
    list->item(0)->setText(QStringLiteral("tripod"));
    EXPECT_EQ(session().rigs[0].name, "tripod");
    list->item(0)->setText(QString());
    EXPECT_EQ(session().rigs[0].name, "tripod") << "a blank name is refused";
    EXPECT_EQ(list->item(0)->text(), QStringLiteral("tripod"));
    button(QStringLiteral("Remove"))->click();
    EXPECT_TRUE(session().rigs.empty());
    m_document.history()->undo();
    m_document.history()->undo();
    EXPECT_EQ(session().rigs[0].name, "rig 1");
}

TEST_F(RigPageTest, FieldsChangeTheRigAndRefuseNonsense)
{
    button(QStringLiteral("Add a rig"))->click();
    type(QStringLiteral("as the camera labels it"), QStringLiteral("240000/1001"));
    type(QStringLiteral("estimated"), QStringLiteral("3,2"));
    EXPECT_EQ(session().rigs[0].captureRate, (FrameRate {240000, 1001}));
    EXPECT_EQ(session().rigs[0].exposureMs, 3.2);
    type(QStringLiteral("estimated"), QStringLiteral("short"));
    EXPECT_EQ(session().rigs[0].exposureMs, 3.2);
    type(QStringLiteral("estimated"), QString());
    EXPECT_FALSE(session().rigs[0].exposureMs);
    m_document.history()->undo();
    EXPECT_EQ(field(QStringLiteral("estimated"))->text(), QStringLiteral("3.2"));
}

TEST_F(RigPageTest, ShortestHoldIsTypedAndTakenBack)
{
    button(QStringLiteral("Add a rig"))->click();
    const QString hint = QStringLiteral("not known: every frame is read first");
    type(hint, QStringLiteral("280,1"));
    EXPECT_EQ(session().rigs[0].shortestHold, latencyFromMs(280.1));
    EXPECT_EQ(field(hint)->text(), QStringLiteral("280.1"));
    for (const char* nonsense : {"0", "-5", "60001", "nan", "soon"}) {
        type(hint, QString::fromLatin1(nonsense));
        EXPECT_EQ(session().rigs[0].shortestHold, latencyFromMs(280.1)) << nonsense;
    }
    EXPECT_FALSE(field(hint)->toolTip().isEmpty());
    m_document.history()->undo();
    EXPECT_FALSE(session().rigs[0].shortestHold);
    EXPECT_TRUE(field(hint)->text().isEmpty());
    m_document.history()->redo();
    type(hint, QString());
    EXPECT_FALSE(session().rigs[0].shortestHold);
}

TEST_F(RigPageTest, FiledChecksAreShownNewestFirstAndCanBeTakenOut)
{
    button(QStringLiteral("Add a rig"))->click();
    fileZero("2026-05-17", 0.3);
    fileZero("2026-05-18", 0.2);
    const auto cards = [&] {
        QList<CheckCard*> there;
        for (CheckCard* card : m_page.findChildren<CheckCard*>()) {
            if (!card->isHidden() || card->isVisibleTo(&m_page)) {
                there << card;
            }
        }
        return there;
    };
    QCoreApplication::sendPostedEvents(nullptr, QEvent::DeferredDelete);
    ASSERT_EQ(cards().size(), 2);
    cards().front()->findChild<QToolButton*>()->click();
    QCoreApplication::sendPostedEvents(nullptr, QEvent::DeferredDelete);
    ASSERT_EQ(session().rigChecks.size(), 1U);
    EXPECT_EQ(session().rigChecks[0].date, "2026-05-17");
    m_document.history()->undo();
    EXPECT_EQ(session().rigChecks.size(), 2U);
}

TEST_F(RigPageTest, AllClipsAreGivenTheRigAsOneStep)
{
    button(QStringLiteral("Add a rig"))->click();
    button(QStringLiteral("Take it"))->click();
    EXPECT_EQ(session().clips[0].rig, m_page.rig());
    button(QStringLiteral("None of them"))->click();
    EXPECT_FALSE(session().clips[0].rig);
    m_document.history()->undo();
    EXPECT_EQ(session().clips[0].rig, m_page.rig());
}

TEST_F(RigPageTest, CheckOfAClipIsOfferedAndFiledWhenAccepted)
{
    film::Scene scene = tests::smallScene();
    scene.view = film::GoggleView::Direct;
    scene.lamps.skewMs = 0.5;
    const auto film = tests::filmed(scene, m_folder.path(), "zero.mp4");
    button(QStringLiteral("Add a rig"))->click();
    type(QStringLiteral("as the camera labels it"),
        QString::fromStdString(toText(scene.camera.captureRate)));
    bool done = false;
    bool found = false;
    QObject::connect(&m_page, &RigPage::checked, [&](bool value) {
        done = true;
        found = value;
    });
    m_page.check(CheckKind::Zero, film.file);
    EXPECT_TRUE(m_page.isChecking());
    ASSERT_TRUE(waitFor([&] { return done; }));
    ASSERT_TRUE(found);
    EXPECT_TRUE(session().rigChecks.empty()) << "nothing is filed unasked";
    button(QStringLiteral("File it in"))->click();
    ASSERT_EQ(session().rigChecks.size(), 1U);
    EXPECT_EQ(session().rigChecks[0].rig, m_page.rig());
    m_document.history()->undo();
    EXPECT_TRUE(session().rigChecks.empty());
}

TEST_F(RigPageTest, CheckThatFailsSaysWhy)
{
    button(QStringLiteral("Add a rig"))->click();
    bool done = false;
    QObject::connect(&m_page, &RigPage::checked, [&](bool) { done = true; });
    m_page.check(CheckKind::TimeBase, m_folder / "none.mp4");
    ASSERT_TRUE(waitFor([&] { return done; }));
    EXPECT_TRUE(m_page.asks().isAsking(QStringLiteral("check-result")));
}

TEST_F(RigPageTest, WithoutAPeriodNoTimeBaseCheckStarts)
{
    button(QStringLiteral("Add a rig"))->click();
    for (QLineEdit* each : m_page.findChildren<QLineEdit*>()) {
        if (each->text() == QStringLiteral("2000")) {
            each->setText(QStringLiteral("soon"));
        }
    }
    m_page.check(CheckKind::TimeBase, m_folder / "none.mp4");
    EXPECT_FALSE(m_page.isChecking());
}

} // namespace twinlamp::ui
