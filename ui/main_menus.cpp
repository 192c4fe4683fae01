// SPDX-License-Identifier: GPL-3.0-or-later
// Menus of the main window: everything that can be done has an entry and a key here.
#include "core/base/version.h"
#include "ui/footage/footage_pane.h"
#include "ui/footage/footage_view.h"
#include "ui/jobs/sample_maker.h"
#include "ui/main_window.h"
#include "ui/pages/bench_page.h"
#include "ui/plots/trace_pane.h"
#include "ui/plots/trace_plot.h"
#include "ui/theme/theme.h"
#include "ui/widgets/answer_strip.h"
#include "ui/widgets/cautions.h"
#include "ui/widgets/page_bar.h"
#include "ui/widgets/session_panel.h"

#include <QActionGroup>
#include <QMenuBar>
#include <QMessageBox>
#include <QUndoStack>

namespace twinlamp::ui {

namespace {

/// "Undo: move first light of press 3", and "Undo" where there is nothing to undo.
QString stepText(const QString& act, const QString& what)
{
    return what.isEmpty() ? act : act % QStringLiteral(": ") % what;
}

} // namespace

void MainWindow::buildMenus()
{
    buildSessionMenu();
    buildEditMenu();
    buildPressMenu();
    buildViewMenu();
    buildHelpMenu();
}

void MainWindow::buildSessionMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("&Session"));
    menu->addAction(themeIcon(QStringLiteral("clips")), tr("&Add clips…"), Qt::CTRL | Qt::Key_D,
        this, &MainWindow::chooseClips);
    menu->addActions(m_bench->sessionPanel().menuActions());
    m_needWriting.push_back(menu->addAction(
        tr("Campa&ign and notes…"), Qt::CTRL | Qt::Key_I, this, &MainWindow::editNotes));
    menu->addSeparator();
    menu->addAction(tr("&New session…"), QKeySequence::New, this, &MainWindow::chooseNewSession);
    menu->addAction(themeIcon(QStringLiteral("open")), tr("&Open session…"), QKeySequence::Open,
        this, &MainWindow::chooseSession);
    QAction* sample
        = menu->addAction(tr("Open the sa&mple session"), this, &MainWindow::openSample);
    sample->setEnabled(m_samples->isOffered());
    menu->addSeparator();
    m_needWriting.push_back(
        menu->addAction(tr("&Take in another session…"), this, &MainWindow::chooseMerge));
    m_needWriting.push_back(
        menu->addAction(tr("&Find moved clips…"), this, &MainWindow::chooseRelinkFolder));
    m_needSession.push_back(
        menu->addAction(tr("Save a &copy…"), QKeySequence::SaveAs, this, &MainWindow::chooseCopy));
    m_needSession.push_back(menu->addAction(
        tr("&What was changed"), Qt::CTRL | Qt::Key_H, this, &MainWindow::showHistory));
    menu->addSeparator();
    menu->addAction(tr("&Quit"), QKeySequence::Quit, this, &MainWindow::close);
}

void MainWindow::enableSessionActions()
{
    for (QAction* action : m_needSession) {
        action->setEnabled(m_document.isOpen());
    }
    for (QAction* action : m_needWriting) {
        action->setEnabled(m_document.isOpen() && !m_document.isReadOnly());
    }
}

void MainWindow::buildEditMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("&Edit"));
    QUndoStack* history = m_document.history();
    auto* undo = new QAction(this);
    connect(undo, &QAction::triggered, history, &QUndoStack::undo);
    connect(history, &QUndoStack::canUndoChanged, undo, &QAction::setEnabled);
    connect(history, &QUndoStack::undoTextChanged, undo,
        [undo](const QString& what) { undo->setText(stepText(tr("Undo"), what)); });
    undo->setText(stepText(tr("Undo"), history->undoText()));
    undo->setEnabled(history->canUndo());
    undo->setIcon(themeIcon(QStringLiteral("undo")));
    undo->setShortcut(QKeySequence::Undo);
    auto* redo = new QAction(this);
    connect(redo, &QAction::triggered, history, &QUndoStack::redo);
    connect(history, &QUndoStack::canRedoChanged, redo, &QAction::setEnabled);
    connect(history, &QUndoStack::redoTextChanged, redo,
        [redo](const QString& what) { redo->setText(stepText(tr("Redo"), what)); });
    redo->setText(stepText(tr("Redo"), history->redoText()));
    redo->setEnabled(history->canRedo());
    redo->setIcon(themeIcon(QStringLiteral("redo")));
    redo->setShortcuts({Qt::CTRL | Qt::SHIFT | Qt::Key_Z, Qt::CTRL | Qt::Key_Y});
    menu->addAction(undo);
    menu->addAction(redo);
    m_bench->answerStrip().addAction(undo);
    m_bench->answerStrip().addAction(redo);
    menu->addSeparator();
    menu->addAction(themeIcon(QStringLiteral("measure")), tr("&Measure again"), Qt::Key_F5,
        &m_bench->desk(), &BenchDesk::measureAgain);
    menu->addAction(themeIcon(QStringLiteral("stop")), tr("&Stop measuring"),
        Qt::CTRL | Qt::Key_Period, &m_bench->desk(), &BenchDesk::stop);
    menu->addAction(tr("Capture &rate…"), Qt::CTRL | Qt::Key_R, m_bench, &BenchPage::askRate);
    menu->addAction(
        tr("&How this clip is measured…"), Qt::CTRL | Qt::Key_M, this, &MainWindow::editOptions);
    menu->addAction(tr("S&wap the two lamps"), this, [this] {
        if (const session::Clip* clip = m_bench->desk().clip()) {
            m_bench->desk().swapLamps(clip->id);
        }
    });
    for (const RegionKind kind : regionKinds) {
        menu->addAction(tr("Pick the %1").arg(regionName(kind)),
            QKeySequence(Qt::ALT | static_cast<Qt::Key>(Qt::Key_1 + static_cast<int>(kind))), this,
            [this, kind] {
                m_bench->footage().view().pickRegion(kind);
                m_bench->footage().view().setFocus();
            });
    }
    menu->addAction(tr("Panel as &four corners, or as a rectangle again"), Qt::ALT | Qt::Key_4,
        &m_bench->footage().view(), &FootageView::togglePanelCorners);
}

void MainWindow::buildPressMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("&Press"));
    menu->setToolTipsVisible(true);
    const auto go = [this](int frames) {
        return [this, frames] { m_bench->footage().playhead().step(frames); };
    };
    menu->addAction(themeIcon(QStringLiteral("press-back")), tr("To the press &before"),
        Qt::ALT | Qt::Key_PageUp, this, [this] { m_bench->stepPress(false); });
    menu->addAction(themeIcon(QStringLiteral("press-forward")), tr("To the &next press"),
        Qt::ALT | Qt::Key_PageDown, this, [this] { m_bench->stepPress(true); });
    menu->addAction(
        tr("&Accept or set aside"), Qt::CTRL | Qt::Key_K, m_bench, &BenchPage::toggleAccepted);
    QAction* explain = menu->addAction(
        tr("&Explain this press"), Qt::CTRL | Qt::Key_E, m_bench, &BenchPage::explainPress);
    explain->setToolTip(tr("Show what the press in hand rests on: frames around its onsets, traces "
                           "with the fitted model, uncertainty (Ctrl+E)"));
    menu->addSeparator();
    menu->addAction(themeIcon(QStringLiteral("step-back")), tr("One frame bac&k"),
        Qt::ALT | Qt::Key_Left, this, go(-1));
    menu->addAction(themeIcon(QStringLiteral("step-forward")), tr("One frame &on"),
        Qt::ALT | Qt::Key_Right, this, go(1));
    menu->addAction(themeIcon(QStringLiteral("play")), tr("&Play or rest"),
        Qt::CTRL | Qt::Key_Space, &m_bench->footage(), &FootagePane::togglePlay);
}

void MainWindow::buildViewMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("&View"));
    FootageView* view = &m_bench->footage().view();
    constexpr double step = 1.25;
    menu->addAction(themeIcon(QStringLiteral("fit")), tr("Whole &picture"), Qt::CTRL | Qt::Key_0,
        view, &FootageView::fitPicture);
    menu->addAction(themeIcon(QStringLiteral("zoom-in")), tr("Picture &closer"),
        QKeySequence::ZoomIn, this, [view] { view->zoomBy(step); });
    menu->addAction(themeIcon(QStringLiteral("zoom-out")), tr("Picture &further"),
        QKeySequence::ZoomOut, this, [view] { view->zoomBy(1.0 / step); });
    menu->addSeparator();
    menu->addAction(tr("Light of the &whole clip"), Qt::CTRL | Qt::Key_1, this,
        [this] { m_bench->showPressView(false); });
    menu->addAction(tr("Light of this p&ress"), Qt::CTRL | Qt::Key_2, this,
        [this] { m_bench->showPressView(true); });
    menu->addSeparator();
    addPagesTo(menu);
    menu->addSeparator();
    auto* schemes = new QActionGroup(this);
    const auto add = [&](const QString& text, SchemeChoice choice) {
        QAction* action = menu->addAction(text, this, [this, choice] { m_theme.choose(choice); });
        action->setCheckable(true);
        action->setChecked(m_theme.choice() == choice);
        schemes->addAction(action);
    };
    add(tr("&Light or dark as the desktop"), SchemeChoice::FollowDesktop);
    add(tr("L&ight"), SchemeChoice::Light);
    add(tr("&Dark"), SchemeChoice::Dark);
}

void MainWindow::addPagesTo(QMenu* menu)
{
    const auto goBy = [this](int step) {
        return [this, step] {
            const int count = m_pageBar->count();
            showPage((m_pageBar->current() + step + count) % count);
        };
    };
    menu->addAction(
        tr("The &Bench page"), Qt::CTRL | Qt::ALT | Qt::Key_1, this, [this] { showPage(0); });
    menu->addAction(
        tr("The Ri&g page"), Qt::CTRL | Qt::ALT | Qt::Key_2, this, [this] { showPage(1); });
    menu->addAction(
        tr("The Co&mpare page"), Qt::CTRL | Qt::ALT | Qt::Key_3, this, [this] { showPage(2); });
    menu->addAction(
        tr("The Read&out page"), Qt::CTRL | Qt::ALT | Qt::Key_4, this, [this] { showPage(3); });
    menu->addAction(
        tr("The Rec&kon page"), Qt::CTRL | Qt::ALT | Qt::Key_5, this, [this] { showPage(4); });
    menu->addAction(tr("The page &after this one"), Qt::CTRL | Qt::Key_PageDown, this, goBy(1));
    menu->addAction(tr("The page be&fore this one"), Qt::CTRL | Qt::Key_PageUp, this, goBy(-1));
}

void MainWindow::buildHelpMenu()
{
    QMenu* menu = menuBar()->addMenu(tr("&Help"));
    menu->addAction(themeIcon(QStringLiteral("caution")), tr("&Care on the bench"), this,
        [this] { showCautions(this); });
    menu->addAction(tr("&About Twinlamp"), this, [this] {
        auto* box = new QMessageBox(QMessageBox::NoIcon, tr("About Twinlamp"),
            tr("<b>Twinlamp %1</b><p>Glass-to-glass latency of FPV video links, measured from "
               "high-speed footage of a lamp pair.</p><p>GPL-3.0-or-later</p>")
                .arg(QString::fromStdString(std::string(version()))),
            QMessageBox::Close, this);
        box->setAttribute(Qt::WA_DeleteOnClose);
        box->open();
    });
}

} // namespace twinlamp::ui
