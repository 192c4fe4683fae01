// SPDX-License-Identifier: GPL-3.0-or-later
// Which session the main window has open, and the clips that come to it.
#include "ui/edits/sample_session.h"
#include "ui/edits/session_places.h"
#include "ui/edits/session_transfer.h"
#include "ui/jobs/sample_maker.h"
#include "ui/main_window.h"
#include "ui/pages/bench_page.h"
#include "ui/pages/rig_page.h"
#include "ui/widgets/ask_bar.h"
#include "ui/widgets/cautions.h"

#include <QDir>
#include <QFileDialog>
#include <QSettings>

namespace twinlamp::ui {

namespace {

QString clipFilter()
{
    // Some file dialogs tell capitals from small letters, and cameras write capitals.
    QStringList patterns;
    for (const char* kind : {"mp4", "mov", "m4v", "mkv", "avi", "webm", "ts", "mts", "m2ts"}) {
        const QString small = QStringLiteral("*.") + QLatin1String(kind);
        patterns << small << small.toUpper();
    }
    return MainWindow::tr("Clips (%1)").arg(patterns.join(QLatin1Char(' '))) % QStringLiteral(";;")
        % MainWindow::tr("All files (*)");
}

QString sessionFilter() { return MainWindow::tr("Twinlamp sessions (*.twinlamp)"); }

} // namespace

bool isSessionName(const QString& file)
{
    return file.endsWith(QLatin1String(sessionSuffix), Qt::CaseInsensitive);
}

void MainWindow::openAtStart(const std::vector<std::filesystem::path>& paths)
{
    tellCautionsOnce();
    if (!paths.empty()) {
        QStringList files;
        for (const std::filesystem::path& path : paths) {
            files << QString::fromStdString(std::filesystem::absolute(path).string());
        }
        open(files);
        return;
    }
    const std::filesystem::path last = lastSession();
    if (!last.empty() && std::filesystem::exists(last)) {
        openSession(last);
    } else if (m_samples->isReady()) {
        openSample();
    } else if (m_samples->isOffered()) {
        filmSamples(); // a first start: the window can be used meanwhile
    }
}

void MainWindow::filmSamples()
{
    m_samples->make();
    m_bench->showOtherWork(tr("Filming the sample clips"), std::nullopt);
}

void MainWindow::tellCautionsOnce()
{
    constexpr QLatin1String seenKey("cautions/seen");
    if (!QSettings().value(seenKey, false).toBool()) {
        m_notices->ask({QStringLiteral("cautions"), tr("Before you switch on"), cautionsShort(),
            {{tr("Understood"), [seenKey] { QSettings().setValue(seenKey, true); }}}, std::nullopt,
            false});
    }
}

void MainWindow::open(const QStringList& files)
{
    QStringList clips;
    for (const QString& file : files) {
        if (isSessionName(file)) {
            openSession(file.toStdString());
        } else {
            clips << file;
        }
    }
    if (!clips.isEmpty() && ensureSession(QFileInfo(clips.front()).completeBaseName())) {
        m_bench->addClips(clips);
    }
}

void MainWindow::withdrawNotices()
{
    for (const char* key :
        {"sample", "session", "read-only", "merge", "relink", "copy", "transfer"}) {
        m_notices->withdraw(QLatin1String(key));
    }
}

bool MainWindow::openSession(const std::filesystem::path& file)
{
    if (m_document.isOpen() && m_document.path() == file) {
        return true;
    }
    auto opened = session::store::SessionFile::open(file);
    if (!opened) {
        tell(QStringLiteral("session"), tr("The session could not be opened."),
            QString::fromStdString(opened.error().detail));
        return false;
    }
    withdrawNotices();
    const bool readOnly = opened->isReadOnly();
    m_document.take(std::move(*opened));
    rememberSession(file);
    m_transfer->countMissing();
    if (readOnly) {
        tell(QStringLiteral("read-only"), tr("This session can be looked at, not changed."),
            tr("Another window or command has it open, or the file is protected. Close the other "
               "one and open the session again, or save a copy."));
    }
    return true;
}

bool MainWindow::createSession(const std::filesystem::path& file)
{
    auto created = session::store::SessionFile::create(file, file.stem().string());
    if (!created) {
        tell(QStringLiteral("session"), tr("The session could not be made."),
            QString::fromStdString(created.error().detail));
        return false;
    }
    withdrawNotices();
    m_document.take(std::move(*created));
    rememberSession(file);
    return true;
}

bool MainWindow::ensureSession(const QString& stem)
{
    // Clips of one's own do not belong into the invented campaign.
    if (m_document.isOpen() && !m_document.isReadOnly()
        && m_document.path() != sampleSessionFile()) {
        return true;
    }
    return createSession(freeSessionPath(stem.toStdString()));
}

void MainWindow::openSample()
{
    const std::filesystem::path file = sampleSessionFile();
    if (!std::filesystem::exists(file)) {
        if (!m_samples->isReady()) {
            m_sampleWanted = true;
            filmSamples();
            return;
        }
        if (const auto made = writeSampleSession(*m_samples->campaign(), sampleFolder(), file);
            !made) {
            tell(QStringLiteral("sample"), tr("The sample session could not be made."),
                QString::fromStdString(made.error().detail));
            return;
        }
    }
    if (openSession(file)) {
        tell(QStringLiteral("sample"),
            tr("This is the sample session: an invented club, invented links, simulated footage."),
            tr("Look around, undo what you try. Clips of your own that you drop on the window go "
               "into "
               "a session of their own."));
    }
}

void MainWindow::chooseSession()
{
    const QString file = QFileDialog::getOpenFileName(this, tr("Open a session"),
        QString::fromStdString(sessionFolder().string()), sessionFilter());
    if (!file.isEmpty()) {
        openSession(file.toStdString());
    }
}

void MainWindow::chooseNewSession()
{
    QString file = QFileDialog::getSaveFileName(this, tr("New session"),
        QString::fromStdString(freeSessionPath(tr("session").toStdString()).string()),
        sessionFilter());
    if (!file.isEmpty()) {
        createSession((isSessionName(file) ? file : QString(file % QLatin1String(sessionSuffix)))
                          .toStdString());
    }
}

void MainWindow::chooseClips()
{
    constexpr QLatin1String folderKey("clips/folder");
    const QString before = QSettings().value(folderKey).toString();
    const QStringList files = QFileDialog::getOpenFileNames(this, tr("Add clips"),
        QFileInfo(before).isDir() ? before : QDir::homePath(), clipFilter(), nullptr,
        QFileDialog::HideNameFilterDetails);
    if (!files.isEmpty()) {
        QSettings().setValue(folderKey, QFileInfo(files.front()).absolutePath());
        open(files);
    }
}

void MainWindow::chooseCheckClip(CheckKind kind)
{
    const QString file = QFileDialog::getOpenFileName(this,
        kind == CheckKind::Zero ? tr("Clip of a zero check") : tr("Clip of a time-base check"),
        QDir::homePath(), clipFilter());
    if (!file.isEmpty()) {
        m_rig->check(kind, file.toStdString());
    }
}

} // namespace twinlamp::ui
