// SPDX-License-Identifier: GPL-3.0-or-later
// The explanation beside the Bench page: opened by hand, following the press, saved and copied.
#include "tests/ui/pages/bench_fixture.h"
#include "ui/explain/explain_dialog.h"
#include "ui/explain/explanation_view.h"
#include "ui/widgets/press_table.h"

#include <QApplication>
#include <QClipboard>
#include <QPushButton>
#include <QTableView>
#include <QToolButton>

#include <algorithm>
#include <filesystem>
#include <fstream>

namespace twinlamp::ui {
namespace {

using tests::BenchOnASession;
using tests::smallScene;
using tests::waitFor;

bool allPicturesAreThere(const ExplanationView& view)
{
    const auto& made = view.explanation();
    return made && !made->strip.empty()
        && std::ranges::all_of(made->strip, [&](const report::StripFrame& frame) {
               return !view.pictures().at(frame.frame, false).isNull()
                   && !view.pictures().at(frame.frame, true).isNull();
           });
}

void clickExplain(BenchPage& page)
{
    for (auto* button : page.pressTable().findChildren<QToolButton*>()) {
        if (button->text() == QStringLiteral("Explain")) {
            QTest::mouseClick(button, Qt::LeftButton);
            return;
        }
    }
    ADD_FAILURE() << "no button";
}

} // namespace

TEST_F(BenchOnASession, ExplainsThePressInHandWithItsPictures)
{
    add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    m_page->desk().pickPress(1);
    clickExplain(*m_page);
    ASSERT_NE(m_page->explanation(), nullptr);
    ExplanationView& view = m_page->explanation()->view();
    ASSERT_TRUE(view.explanation());
    EXPECT_EQ(view.explanation()->number, 2);
    EXPECT_TRUE(view.explanation()->goggle.residualDeviation.has_value()) << "no model";
    EXPECT_TRUE(view.explanation()->budget.has_value());
    EXPECT_TRUE(waitFor([&] { return allPicturesAreThere(view); }, 20'000));
    EXPECT_TRUE(view.pictures().missing.isEmpty());
}

TEST_F(BenchOnASession, ExplanationFollowsThePress)
{
    add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    m_page->desk().pickPress(0);
    m_page->explainPress();
    ExplainDialog& dialog = *m_page->explanation();
    m_page->desk().pickPress(2);
    EXPECT_EQ(dialog.view().explanation()->number, 3);
    for (auto* button : dialog.findChildren<QPushButton*>()) {
        if (button->shortcut() == QKeySequence(Qt::ALT | Qt::Key_PageDown)) {
            button->click();
        }
    }
    EXPECT_EQ(dialog.view().explanation()->number, 4);
    EXPECT_EQ(m_page->desk().press(), 3) << "the page goes along";
    m_page->desk().pickPress(std::nullopt);
    EXPECT_FALSE(dialog.view().explanation());
}

TEST_F(BenchOnASession, ExplanationWithoutFootageSaysSoAndShowsTheRest)
{
    const auto film = add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    const auto clips = m_document.session().clips;
    std::filesystem::rename(film.file, m_folder / "elsewhere.mp4");
    // Opened anew, as the next day: the footage is looked for again.
    m_page.reset();
    m_page = std::make_unique<BenchPage>(m_document, m_pool);
    m_page->show();
    m_page->desk().pickClip(clips.back().id);
    ASSERT_TRUE(waitFor([&] { return !m_page->desk().problem().isEmpty(); }, 20'000));
    m_page->desk().pickPress(1);
    m_page->explainPress();
    ExplanationView& view = m_page->explanation()->view();
    ASSERT_TRUE(view.explanation());
    EXPECT_FALSE(view.pictures().missing.isEmpty());
    EXPECT_FALSE(view.explanation()->goggle.samples.empty());
    EXPECT_TRUE(view.explanation()->budget.has_value());
    EXPECT_FALSE(m_page->explanation()->grab().isNull());
}

TEST_F(BenchOnASession, ExplanationIsSavedAndCopied)
{
    add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    m_page->desk().pickPress(1);
    m_page->explainPress();
    ExplainDialog& dialog = *m_page->explanation();
    ASSERT_TRUE(dialog.saveTo(m_folder / "press.png"));
    ASSERT_TRUE(dialog.saveTo(m_folder / "press.svg"));
    EXPECT_FALSE(QImage(QString::fromStdString((m_folder / "press.png").string())).isNull());
    std::ifstream svg(m_folder / "press.svg");
    std::string first;
    std::getline(svg, first);
    EXPECT_TRUE(first.starts_with("<?xml"));
    EXPECT_FALSE(dialog.saveTo(m_folder / "press.jpg"));
    EXPECT_FALSE(dialog.saveTo(m_folder / "nowhere" / "press.png"));
    dialog.copyPicture();
    EXPECT_FALSE(QApplication::clipboard()->image().isNull());
}

TEST_F(BenchOnASession, ExplainButtonsTellTheirKeys)
{
    add(smallScene());
    ASSERT_TRUE(waitUntilMeasured());
    m_page->explainPress();
    for (const auto* button : m_page->explanation()->findChildren<QPushButton*>()) {
        EXPECT_FALSE(button->shortcut().isEmpty()) << button->text().toStdString();
        EXPECT_TRUE(
            button->toolTip().contains(button->shortcut().toString(QKeySequence::NativeText)))
            << button->text().toStdString();
        EXPECT_NE(button->focusPolicy(), Qt::NoFocus);
    }
}

} // namespace twinlamp::ui
