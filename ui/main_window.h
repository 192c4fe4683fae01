// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/rig_check.h"
#include "ui/edits/session_document.h"

#include <QMainWindow>

#include <filesystem>
#include <vector>

class QMenu;
class QStackedWidget;
class QThreadPool;

namespace twinlamp::ui {

class BenchPage;
class ComparePage;
class PageBar;
class ReckonPage;
class RigPage;
class SampleMaker;
class Theme;

/// Whether a file is a session by its name.
[[nodiscard]] bool isSessionName(const QString& file);

/// The one window: menus, the page, and which session is open.
class MainWindow : public QMainWindow
{
    Q_OBJECT

public:
    MainWindow(Theme& theme, QThreadPool& pool, const std::filesystem::path& sampleList = {});
    ~MainWindow() override;

    [[nodiscard]] SessionDocument& document() { return m_document; }

    [[nodiscard]] BenchPage& bench() { return *m_bench; }

    [[nodiscard]] RigPage& rig() { return *m_rig; }

    [[nodiscard]] ComparePage& compare() { return *m_compare; }

    [[nodiscard]] ReckonPage& reckon() { return *m_reckon; }

    [[nodiscard]] PageBar& pageBar() { return *m_pageBar; }

    /// 0 Bench, 1 Rig, 2 Compare, 3 Reckon.
    void showPage(int page);

    /// A session, or clips in a new session; nothing: the last session, or the sample.
    void openAtStart(const std::vector<std::filesystem::path>& paths);
    bool openSession(const std::filesystem::path& file);
    bool createSession(const std::filesystem::path& file);

protected:
    void dragEnterEvent(QDragEnterEvent* event) override;
    void dropEvent(QDropEvent* event) override;
    void closeEvent(QCloseEvent* event) override;

private:
    void buildPages();
    void buildMenus();
    void addPagesTo(QMenu* menu);
    void buildSessionMenu();
    void buildEditMenu();
    void buildPressMenu();
    void buildViewMenu();
    void buildHelpMenu();
    void tellCautionsOnce();
    void open(const QStringList& files);
    void openSample();
    void filmSamples();
    void withdrawNotices();
    void chooseSession();
    void chooseNewSession();
    void chooseCopy();
    void chooseClips();
    void chooseCheckClip(CheckKind kind);
    void editConditions(session::SettingId setting);
    void editOptions();
    void updateTitle();
    bool ensureSession(const QString& stem);

    Theme& m_theme;
    SessionDocument m_document;
    BenchPage* m_bench = nullptr;
    RigPage* m_rig = nullptr;
    ComparePage* m_compare = nullptr;
    ReckonPage* m_reckon = nullptr;
    PageBar* m_pageBar = nullptr;
    QStackedWidget* m_pages = nullptr;
    SampleMaker* m_samples = nullptr;
    bool m_sampleWanted = false; ///< asked for by hand while it is filmed
};

} // namespace twinlamp::ui
