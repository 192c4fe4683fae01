// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/main_window.h"

#include "ui/edits/sample_session.h"
#include "ui/edits/session_places.h"
#include "ui/pages/bench_page.h"
#include "ui/pages/empty_page.h"
#include "ui/theme/theme.h"
#include "ui/widgets/conditions_dialog.h"
#include "ui/widgets/session_panel.h"

#include <QCloseEvent>
#include <QFileDialog>
#include <QMimeData>
#include <QSettings>
#include <QUrl>

namespace twinlamp::ui {

namespace {

constexpr QLatin1String geometryKey("window/geometry");

bool isSession(const QString& file)
{
    return file.endsWith(QLatin1String(sessionSuffix), Qt::CaseInsensitive);
}

QString clipFilter()
{
    return MainWindow::tr("Clips (*.mp4 *.mov *.m4v *.mkv *.avi *.webm *.ts *.mts *.m2ts);;All files (*)");
}

QString sessionFilter() { return MainWindow::tr("Twinlamp sessions (*.twinlamp)"); }

} // namespace

MainWindow::MainWindow(Theme& theme, QThreadPool& pool)
    : m_theme(theme)
    , m_bench(new BenchPage(m_document, pool))
    , m_sample(new SampleSession(this))
{
    setCentralWidget(m_bench);
    setAcceptDrops(true);
    setMinimumSize(960, 600);
    resize(1280, 720);
    restoreGeometry(QSettings().value(geometryKey).toByteArray());
    buildMenus();
    connect(&m_document, &SessionDocument::replaced, this, &MainWindow::updateTitle);
    connect(m_bench, &BenchPage::chooseClipsAsked, this, &MainWindow::chooseClips);
    connect(&m_bench->sessionPanel(), &SessionPanel::conditionsAsked, this, &MainWindow::editConditions);
    connect(&m_bench->emptyPage(), &EmptyPage::openSampleAsked, this,
        [this] { openSession(m_sample->file()); });
    m_bench->emptyPage().setSampleOffered(m_sample->isThere());
    updateTitle();
}

MainWindow::~MainWindow() = default;

void MainWindow::openAtStart(const std::vector<std::filesystem::path>& paths)
{
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
    } else if (m_sample->isThere()) {
        openSession(m_sample->file());
    }
}

void MainWindow::open(const QStringList& files)
{
    QStringList clips;
    for (const QString& file : files) {
        if (isSession(file)) {
            openSession(file.toStdString());
        } else {
            clips << file;
        }
    }
    if (!clips.isEmpty() && ensureSession(QFileInfo(clips.front()).completeBaseName())) {
        m_bench->addClips(clips);
    }
}

bool MainWindow::openSession(const std::filesystem::path& file)
{
    if (m_document.isOpen() && m_document.path() == file) {
        return true;
    }
    if (file == m_sample->file()) {
        if (const auto made = m_sample->make(); !made) {
            m_bench->tell(QStringLiteral("session"), tr("The sample session could not be made."),
                QString::fromStdString(made.error().detail));
            return false;
        }
    }
    auto opened = session::store::SessionFile::open(file);
    if (!opened) {
        m_bench->tell(QStringLiteral("session"), tr("The session could not be opened."),
            QString::fromStdString(opened.error().detail));
        return false;
    }
    const bool readOnly = opened->isReadOnly();
    m_document.take(std::move(*opened));
    rememberSession(file);
    if (readOnly) {
        m_bench->tell(QStringLiteral("read-only"), tr("This session can be looked at, not changed."),
            tr("Another window or command has it open, or the file is protected. Close the other "
               "one and open the session again, or save a copy."));
    }
    return true;
}

bool MainWindow::createSession(const std::filesystem::path& file)
{
    auto created = session::store::SessionFile::create(file, file.stem().string());
    if (!created) {
        m_bench->tell(QStringLiteral("session"), tr("The session could not be made."),
            QString::fromStdString(created.error().detail));
        return false;
    }
    m_document.take(std::move(*created));
    rememberSession(file);
    return true;
}

bool MainWindow::ensureSession(const QString& stem)
{
    if (m_document.isOpen() && !m_document.isReadOnly()) {
        return true;
    }
    return createSession(freeSessionPath(stem.toStdString()));
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
        createSession((isSession(file) ? file : QString(file % QLatin1String(sessionSuffix))).toStdString());
    }
}

void MainWindow::chooseCopy()
{
    QString file = QFileDialog::getSaveFileName(this, tr("Save a copy"),
        QString::fromStdString(m_document.path().parent_path().string()), sessionFilter());
    if (file.isEmpty()) {
        return;
    }
    if (!isSession(file)) {
        file += QLatin1String(sessionSuffix);
    }
    if (const auto written = m_document.copyTo(file.toStdString()); !written) {
        m_bench->tell(QStringLiteral("session"), tr("The copy could not be written."),
            QString::fromStdString(written.error().detail));
    }
}

void MainWindow::chooseClips()
{
    constexpr QLatin1String folderKey("clips/folder");
    const QStringList files = QFileDialog::getOpenFileNames(
        this, tr("Add clips"), QSettings().value(folderKey).toString(), clipFilter());
    if (!files.isEmpty()) {
        QSettings().setValue(folderKey, QFileInfo(files.front()).absolutePath());
        open(files);
    }
}

void MainWindow::editConditions(session::SettingId setting)
{
    const session::LinkSetting* found = session::find(m_document.session(), setting);
    if (found == nullptr) {
        return;
    }
    auto* dialog = new ConditionsDialog(*found, this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    connect(dialog, &ConditionsDialog::conditionsChosen, this,
        [this, setting](const session::Conditions& conditions) {
            m_document.push(
                session::changeConditions(m_document.session(), setting, conditions));
        });
    dialog->open();
}

void MainWindow::updateTitle()
{
    const auto path = m_document.path();
    setWindowTitle(path.empty() ? QStringLiteral("Twinlamp")
                                : tr("%1 - Twinlamp").arg(QString::fromStdString(path.filename().string())));
    setWindowFilePath(QString::fromStdString(path.string()));
}

void MainWindow::dragEnterEvent(QDragEnterEvent* event)
{
    if (event->mimeData()->hasUrls()) {
        event->acceptProposedAction();
    }
}

void MainWindow::dropEvent(QDropEvent* event)
{
    QStringList files;
    for (const QUrl& url : event->mimeData()->urls()) {
        if (url.isLocalFile()) {
            files << url.toLocalFile();
        }
    }
    event->acceptProposedAction();
    open(files);
}

void MainWindow::closeEvent(QCloseEvent* event)
{
    QSettings().setValue(geometryKey, saveGeometry());
    m_bench->desk().stop();
    event->accept();
}

} // namespace twinlamp::ui
