// SPDX-License-Identifier: GPL-3.0-or-later
// What comes into the session from elsewhere and what leaves it: other sessions, moved footage,
// copies, notes, and the list of changes.
#include "ui/edits/session_places.h"
#include "ui/edits/session_transfer.h"
#include "ui/main_window.h"
#include "ui/pages/bench_page.h"
#include "ui/widgets/ask_bar.h"
#include "ui/widgets/copy_dialog.h"
#include "ui/widgets/figures.h"
#include "ui/widgets/history_dialog.h"
#include "ui/widgets/notes_dialog.h"
#include "ui/widgets/session_panel.h"

#include <QFileDialog>

namespace twinlamp::ui {

namespace {

const QString mergeKey = QStringLiteral("merge");
const QString relinkKey = QStringLiteral("relink");
const QString transferKey = QStringLiteral("transfer");

QString lines(const QStringList& sentences) { return sentences.join(QLatin1Char('\n')); }

/// Names of a few clips, and how many more.
QString namesText(const QStringList& names)
{
    constexpr qsizetype most = 4;
    const QString shown = names.mid(0, most).join(QStringLiteral(", "));
    return names.size() <= most
        ? shown
        : MainWindow::tr("%1 and %2 more").arg(shown).arg(names.size() - most);
}

} // namespace

void MainWindow::wireTransfer()
{
    connect(m_transfer, &SessionTransfer::merged, this, &MainWindow::tellMerge);
    connect(m_transfer, &SessionTransfer::relinked, this, &MainWindow::tellRelink);
    connect(m_transfer, &SessionTransfer::failed, this, [this](const QString& sentence) {
        tell(transferKey, tr("Nothing was brought in."), sentence);
    });
    connect(m_transfer, &SessionTransfer::runningChanged, this, [this](bool running) {
        if (!running) {
            m_notices->withdraw(QStringLiteral("transfer-runs"));
        }
    });
    connect(m_transfer, &SessionTransfer::missingCounted, this, &MainWindow::offerToRelink);
}

void MainWindow::tellRunning(const QString& what)
{
    m_notices->ask(
        {QStringLiteral("transfer-runs"), what, {}, {{tr("Stop"), [this] { m_transfer->stop(); }}},
            std::nullopt, false, Question::noLikelyAnswer});
}

void MainWindow::chooseMerge()
{
    const QString file = QFileDialog::getOpenFileName(this, tr("Take in another session"),
        QString::fromStdString(sessionFolder().string()), tr("Twinlamp sessions (*.twinlamp)"));
    if (!file.isEmpty()) {
        m_notices->withdraw(mergeKey);
        tellRunning(tr("Reading %1…").arg(QFileInfo(file).fileName()));
        m_transfer->merge(file.toStdString());
    }
}

void MainWindow::tellMerge(const MergeOutcome& outcome)
{
    const QString name = QString::fromStdString(outcome.other.filename().string());
    Question told {mergeKey,
        outcome.step ? tr("%1 was taken in. Undo takes all of it out again.").arg(name)
                     : tr("%1 was read; no entry of this session changed.").arg(name),
        lines(outcome.notes + outcome.conflicts), {}, std::nullopt, true, Question::noLikelyAnswer};
    if (!outcome.conflicts.isEmpty()) {
        const auto again = [this, outcome] {
            const bool isLast = m_document.history()->index() == outcome.step;
            if (isLast) {
                m_document.history()->undo();
            }
            if (isLast || !outcome.step) {
                m_transfer->merge(outcome.other, session::Prefer::There);
            } else {
                tell(mergeKey, tr("The session was changed since."),
                    tr("Undo up to the merge and take the other session in again, or correct the "
                       "values by hand."));
            }
        };
        told.answers = {{tr("Keep the values of this session"), [] {}},
            {tr("Take those of the other one instead"), again}};
    }
    m_notices->ask(std::move(told));
}

void MainWindow::chooseRelinkFolder()
{
    const QString folder
        = QFileDialog::getExistingDirectory(this, tr("Folder to look for moved clips in"),
            QString::fromStdString(m_document.path().parent_path().string()));
    if (!folder.isEmpty()) {
        m_notices->withdraw(relinkKey);
        tellRunning(tr("Looking for moved clips in %1 and all below it…").arg(folder));
        m_transfer->relink(folder.toStdString());
    }
}

void MainWindow::tellRelink(const RelinkOutcome& outcome)
{
    QStringList found {outcome.found == 0
            ? tr("No moved clip was found there.")
            : countText(outcome.found, tr("%1 moved clip was found and has its new place."),
                tr("%1 moved clips were found and have their new places."))};
    if (outcome.missing.isEmpty()) {
        found << tr("None is missing now.");
    }
    Question told {relinkKey, found.join(QLatin1Char(' ')),
        outcome.missing.isEmpty() ? QString()
                                  : tr("Still missing: %1. Figures and traces of these clips stay; "
                                       "only their pictures cannot be shown.")
                                        .arg(namesText(outcome.missing)),
        {}, std::nullopt, true, Question::noLikelyAnswer};
    if (!outcome.missing.isEmpty()) {
        told.answers = {{tr("Look in another folder…"), [this] { chooseRelinkFolder(); }}};
    }
    m_notices->ask(std::move(told));
}

void MainWindow::offerToRelink(int missing)
{
    if (missing == 0) {
        m_notices->withdraw(relinkKey);
        return;
    }
    m_notices->ask({relinkKey,
        countText(missing, tr("%1 clip is not where it was filed."),
            tr("%1 clips are not where they were filed.")),
        tr("Clips are known by their content: name a folder, and they are found in it and below "
           "it under any name. Figures and traces are here without them."),
        {{tr("Look in a folder…"), [this] { chooseRelinkFolder(); }}}, std::nullopt, true,
        Question::noLikelyAnswer});
}

void MainWindow::chooseCopy()
{
    auto* dialog = new CopyDialog(m_document.path(), this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    connect(dialog, &CopyDialog::copyWanted, this,
        [this](const QString& file, const session::store::CopyOptions& options) {
            if (const auto written = m_document.copyTo(file.toStdString(), options); !written) {
                tell(QStringLiteral("copy"), tr("The copy could not be written."),
                    QString::fromStdString(written.error().detail));
            } else {
                tell(QStringLiteral("copy"), tr("The copy is written: %1").arg(file));
            }
        });
    dialog->open();
}

void MainWindow::editNotes()
{
    const auto place = m_bench->sessionPanel().place();
    const bool isClip = place && place->kind == TreeKind::Clip;
    auto* dialog = new NotesDialog(m_document.session(), m_bench->sessionPanel().runInHand(),
        isClip ? session::ClipId {place->id} : session::ClipId {}, this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    connect(dialog, &QDialog::accepted, this,
        [this, dialog] { m_document.push(dialog->edit(m_document.session())); });
    dialog->open();
}

void MainWindow::showHistory()
{
    if (m_history == nullptr) {
        m_history = new HistoryDialog(m_document, this);
        m_history->setAttribute(Qt::WA_DeleteOnClose);
        connect(m_history, &QObject::destroyed, this, [this] { m_history = nullptr; });
    }
    m_history->show();
    m_history->raise();
    m_history->activateWindow();
}

} // namespace twinlamp::ui
