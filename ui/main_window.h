// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/rig_check.h"
#include "ui/edits/session_document.h"

#include <QMainWindow>

#include <filesystem>
#include <optional>
#include <vector>

class QAction;
class QMenu;
class QStackedWidget;
class QThreadPool;

namespace twinlamp::ui {

class AskStack;
class BenchPage;
class ComparePage;
class HistoryDialog;
class PageBar;
class ReadoutPage;
class ReckonPage;
class RigPage;
class SampleMaker;
class SessionTransfer;
class Theme;
struct MergeOutcome;
struct RelinkOutcome;

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

    [[nodiscard]] ReadoutPage& readout() { return *m_readout; }

    /// What concerns the session as a whole stands above every page.
    [[nodiscard]] AskStack& notices() { return *m_notices; }

    [[nodiscard]] SessionTransfer& transfer() { return *m_transfer; }

    /// Null until it was asked for.
    [[nodiscard]] HistoryDialog* history() { return m_history; }

    [[nodiscard]] PageBar& pageBar() { return *m_pageBar; }

    /// 0 Bench, 1 Rig, 2 Compare, 3 Readout, 4 Reckon.
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
    void wireTransfer();
    void enableSessionActions();
    void tell(const QString& key, const QString& text, const QString& why = {});
    void tellRunning(const QString& what);
    void chooseMerge();
    void tellMerge(const MergeOutcome& outcome);
    void chooseRelinkFolder();
    void tellRelink(const RelinkOutcome& outcome);
    void offerToRelink(int missing);
    void chooseCopy();
    void showHistory();
    void editNotes();
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
    ReadoutPage* m_readout = nullptr;
    AskStack* m_notices = nullptr;
    SessionTransfer* m_transfer = nullptr;
    HistoryDialog* m_history = nullptr;
    std::vector<QAction*> m_needSession; ///< enabled while a session is open
    std::vector<QAction*> m_needWriting; ///< and may be changed
    PageBar* m_pageBar = nullptr;
    QStackedWidget* m_pages = nullptr;
    SampleMaker* m_samples = nullptr;
    bool m_sampleWanted = false; ///< asked for by hand while it is filmed
};

} // namespace twinlamp::ui
