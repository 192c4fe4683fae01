// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/main_window.h"

#include "ui/edits/session_transfer.h"
#include "ui/jobs/sample_maker.h"
#include "ui/pages/bench_page.h"
#include "ui/pages/compare_page.h"
#include "ui/pages/empty_page.h"
#include "ui/pages/readout_page.h"
#include "ui/pages/reckon_page.h"
#include "ui/pages/rig_page.h"
#include "ui/theme/theme.h"
#include "ui/widgets/ask_bar.h"
#include "ui/widgets/conditions_dialog.h"
#include "ui/widgets/options_dialog.h"
#include "ui/widgets/page_bar.h"
#include "ui/widgets/session_panel.h"

#include <QCloseEvent>
#include <QMimeData>
#include <QScreen>
#include <QSettings>
#include <QStackedWidget>
#include <QUrl>
#include <QVBoxLayout>

#include <utility>

namespace twinlamp::ui {

namespace {

constexpr QLatin1String geometryKey("window/geometry");
constexpr QLatin1String pageKey("window/page");
constexpr int smallScreenWidth = 1600; ///< below it every pixel is needed

} // namespace

MainWindow::MainWindow(Theme& theme, QThreadPool& pool, const std::filesystem::path& sampleList)
    : m_theme(theme)
    , m_bench(new BenchPage(m_document, pool))
    , m_rig(new RigPage(m_document, pool))
    , m_compare(new ComparePage(m_document, pool))
    , m_reckon(new ReckonPage(m_document, pool))
    , m_readout(new ReadoutPage(m_document, pool))
    , m_notices(new AskStack)
    , m_transfer(new SessionTransfer(m_document, pool, this))
    , m_samples(new SampleMaker(pool, sampleList, this))
{
    buildPages();
    setAcceptDrops(true);
    setMinimumSize(960, 600);
    if (!restoreGeometry(QSettings().value(geometryKey).toByteArray())) {
        const QSize room = screen()->availableSize();
        const bool small = room.width() <= smallScreenWidth;
        resize(small ? room : room * 0.85);
        setWindowState(small ? Qt::WindowMaximized : Qt::WindowNoState);
    }
    buildMenus();
    showPage(QSettings().value(pageKey, 0).toInt());
    wireTransfer();
    connect(&m_document, &SessionDocument::replaced, this, &MainWindow::updateTitle);
    connect(&m_document, &SessionDocument::replaced, this, &MainWindow::enableSessionActions);
    connect(m_bench, &BenchPage::chooseClipsAsked, this, &MainWindow::chooseClips);
    connect(&m_bench->sessionPanel(), &SessionPanel::conditionsAsked, this,
        &MainWindow::editConditions);
    connect(&m_bench->emptyPage(), &EmptyPage::openSampleAsked, this, &MainWindow::openSample);
    m_bench->emptyPage().setSampleOffered(m_samples->isOffered());
    connect(m_samples, &SampleMaker::progressed, this, [this](ScaledProgress progress) {
        m_bench->showOtherWork(tr("Filming the sample clips"), progress);
    });
    connect(m_samples, &SampleMaker::ready, this, [this] {
        m_bench->showOtherWork({}, std::nullopt);
        // A session that came meanwhile stays, unless the sample was asked for.
        if (std::exchange(m_sampleWanted, false) || !m_document.isOpen()) {
            openSample();
        }
    });
    connect(m_samples, &SampleMaker::failed, this, [this](const QString& sentence) {
        m_bench->showOtherWork({}, std::nullopt);
        if (!sentence.isEmpty()) {
            tell(QStringLiteral("sample"), tr("The sample clips could not be made."), sentence);
        }
    });
    connect(m_bench, &BenchPage::stopAsked, m_samples, &SampleMaker::stop);
    updateTitle();
    enableSessionActions();
}

MainWindow::~MainWindow() = default;

void MainWindow::tell(const QString& key, const QString& text, const QString& why)
{
    m_notices->ask({key, text, why, {}, std::nullopt, true});
}

void MainWindow::buildPages()
{
    m_pageBar = new PageBar;
    m_pages = new QStackedWidget;
    m_pageBar->addPage(tr("Bench"));
    m_pages->addWidget(m_bench);
    m_pageBar->addPage(tr("Rig"));
    m_pages->addWidget(m_rig);
    m_pageBar->addPage(tr("Compare"));
    m_pages->addWidget(m_compare);
    m_pageBar->addPage(tr("Readout"));
    m_pages->addWidget(m_readout);
    m_pageBar->addPage(tr("Reckon"));
    m_pages->addWidget(m_reckon);
    auto* whole = new QWidget;
    auto* column = new QVBoxLayout(whole);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    column->addWidget(m_pageBar);
    column->addWidget(m_notices);
    column->addWidget(m_pages, 1);
    setCentralWidget(whole);
    connect(m_pageBar, &PageBar::picked, this, &MainWindow::showPage);
    connect(m_rig, &RigPage::clipAsked, this, &MainWindow::chooseCheckClip);
}

void MainWindow::showPage(int page)
{
    if (page < 0 || page >= m_pages->count()) {
        return;
    }
    m_pageBar->setCurrent(page);
    m_pages->setCurrentIndex(page);
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
            m_document.push(session::changeConditions(m_document.session(), setting, conditions));
        });
    dialog->open();
}

void MainWindow::editOptions()
{
    const session::Clip* clip = m_bench->desk().clip();
    if (clip == nullptr || m_document.isReadOnly()) {
        return;
    }
    auto* dialog = new OptionsDialog(clip->options, this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    connect(dialog, &OptionsDialog::optionsChosen, this,
        [this, id = clip->id](const measure::MeasureOptions& options) {
            m_document.push(session::changeOptions(m_document.session(), id, options));
        });
    dialog->open();
}

void MainWindow::updateTitle()
{
    const auto path = m_document.path();
    setWindowTitle(path.empty()
            ? QStringLiteral("Twinlamp")
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
    const bool oneClip = files.size() == 1 && !isSessionName(files.front());
    if (m_pages->currentWidget() == m_rig && oneClip && m_document.isOpen()) {
        m_rig->takeFile(files.front());
        return;
    }
    open(files);
}

void MainWindow::closeEvent(QCloseEvent* event)
{
    QSettings().setValue(geometryKey, saveGeometry());
    QSettings().setValue(pageKey, m_pages->currentIndex());
    m_compare->stop();
    m_reckon->stop();
    m_readout->stop();
    m_transfer->stop();
    m_bench->desk().stop();
    m_rig->stop();
    event->accept();
}

} // namespace twinlamp::ui
