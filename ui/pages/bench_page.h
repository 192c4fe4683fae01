// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/models/press_table_model.h"
#include "ui/models/session_tree_model.h"
#include "ui/pages/bench_desk.h"

#include <QWidget>

class QSplitter;
class QStackedWidget;

namespace twinlamp::ui {

class AnswerStrip;
class AskStack;
class ClipFactsPanel;
class EmptyPage;
class ExplainDialog;
class FootagePane;
class LampCloseups;
class PressPanel;
class PressTable;
class RegionNumbers;
class SessionPanel;
class TracePane;

/// The page where a clip becomes latencies: session panel, footage, traces, the press in hand and
/// the press table around one BenchDesk.
class BenchPage : public QWidget
{
    Q_OBJECT

public:
    BenchPage(SessionDocument& document, QThreadPool& pool, QWidget* parent = nullptr);
    ~BenchPage() override;

    [[nodiscard]] BenchDesk& desk() { return *m_desk; }

    [[nodiscard]] SessionPanel& sessionPanel() { return *m_panel; }

    [[nodiscard]] FootagePane& footage() { return *m_footage; }

    [[nodiscard]] TracePane& traces() { return *m_traces; }

    [[nodiscard]] PressTable& pressTable() { return *m_table; }

    [[nodiscard]] AskStack& asks() { return *m_asks; }

    [[nodiscard]] EmptyPage& emptyPage() { return *m_empty; }

    [[nodiscard]] AnswerStrip& answerStrip() { return *m_answer; }

    /// Files clips under the row in hand; asks how they belong together where that is open.
    void addClips(const QStringList& files);
    void stepPress(bool forward);
    void toggleAccepted();
    void askRate();
    /// Opens the explanation of the press in hand; it follows the press until it is closed.
    void explainPress();

    /// Null until it was asked for.
    [[nodiscard]] ExplainDialog* explanation() { return m_explain; }

    void showPressView(bool press);
    /// Work that is not measuring, shown where measuring is; an empty stage ends it.
    void showOtherWork(const QString& stage, std::optional<ScaledProgress> progress);
    /// A sentence for the user, where the eye is.
    void tell(const QString& key, const QString& text, const QString& why = {});

Q_SIGNALS:
    void chooseClipsAsked();
    void stopAsked();

private:
    void build();
    QWidget* buildCentre();
    QWidget* buildSide();
    void wireDesk();
    void wireViews();
    void wirePressViews();
    void file(const std::vector<std::filesystem::path>& clips, bool runEach);
    /// Takes files away that are clips of the session already, and says so.
    void leaveOutFiledOnes(std::vector<std::filesystem::path>& clips);
    void onPlacePicked(TreePlace place);
    void pickPress(session::PressAddress press);
    void showFootage();
    void showRegions();
    void showTraces(bool grew);
    void showPresses();
    void showPressInHand();
    void showWork();
    void showClipNotes();
    void showFacts();
    void showFilledTraces();
    void showAnswer();
    void showCloseups();
    void showExplanation();
    void stepExplanation(bool forward);
    void goToPress();
    void pickInTable();
    void askBeforePlaying();
    void askToPlaceRegions();
    void askAboutNoAnswer(session::ClipId clip);
    void tellOfOtherPresses(session::ClipId clip, int before, int after);
    void askAboutSameFootage(session::ClipId clip, session::ClipId same);
    void takeFailure(session::ClipId clip, const QString& name, const QString& sentence);
    /// Tells of the clips that could not be measured, all in one place; silent once they are gone.
    void showFailures();
    void withdrawWhatIsDone();
    void withdrawAll();
    void askWhySetAside(session::PressAddress press);
    void acceptOrSetAside(session::PressAddress press, bool accepted);
    [[nodiscard]] std::vector<PressRow> tableRows() const;
    [[nodiscard]] bool tableSpansClips() const;
    [[nodiscard]] std::optional<session::EffectivePress> pressInHand() const;

    SessionDocument& m_document;
    BenchDesk* m_desk = nullptr;
    SessionPanel* m_panel = nullptr;
    AnswerStrip* m_answer = nullptr;
    AskStack* m_asks = nullptr;
    QStackedWidget* m_stack = nullptr;
    EmptyPage* m_empty = nullptr;
    FootagePane* m_footage = nullptr;
    TracePane* m_traces = nullptr;
    LampCloseups* m_closeups = nullptr;
    PressPanel* m_press = nullptr;
    RegionNumbers* m_numbers = nullptr;
    ClipFactsPanel* m_facts = nullptr;
    PressTable* m_table = nullptr;
    ExplainDialog* m_explain = nullptr;

    struct Failure
    {
        session::ClipId clip;
        QString name;
        QString sentence;
    };

    std::vector<Failure> m_failures;
    std::vector<session::ClipId> m_rateAskedFor;
    session::ClipId m_unanswered;
    bool m_rateMissing = false; ///< asked because it was not known, not to change it
    std::optional<TreePlace> m_tablePlace;
    bool m_otherWork = false;
};

} // namespace twinlamp::ui
