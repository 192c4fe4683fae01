// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/edits/session_document.h"
#include "ui/jobs/job_runner.h"
#include "ui/models/comparison_answer.h"

#include <QWidget>

#include <array>
#include <optional>

class QComboBox;
class QDoubleSpinBox;
class QHBoxLayout;
class QLabel;
class QSplitter;
class QStackedWidget;
class QTimer;
class QToolButton;
class QVBoxLayout;

namespace twinlamp::ui {

class EmptyState;
class FigureTable;
class LatencyChart;
class SentenceList;
class VerdictCard;

/// The page where two link settings are held against each other, or one is looked at alone:
/// verdicts first, then charts on one axis, figures, the fair test, and a ranking of all settings.
///
/// It is worked out on a worker thread, anew after each change of the session, and only while the
/// page is seen.
class ComparePage : public QWidget
{
    Q_OBJECT

public:
    ComparePage(SessionDocument& document, QThreadPool& pool, QWidget* parent = nullptr);
    ~ComparePage() override;

    /// Settings A and B, B 0 where A is looked at alone; nothing where there is no setting.
    [[nodiscard]] std::optional<report::SettingPair> picked() const;
    void pick(session::SettingId a, session::SettingId b);

    /// What is shown now; nothing before the first answer.
    [[nodiscard]] const std::optional<ComparisonAnswer>& answer() const { return m_answer; }

    [[nodiscard]] bool isWorking() const;

    [[nodiscard]] LatencyChart& chart() { return *m_chart; }

    void stop();

Q_SIGNALS:
    void answered();

protected:
    void showEvent(QShowEvent* event) override;

private:
    void build();
    QWidget* buildChoice();
    void buildLimits(QHBoxLayout* row);
    QWidget* buildVerdicts();
    QWidget* buildFigures();
    void wire();
    void restore();
    void keep() const;

    void onSessionChanged();
    void fillChoices();
    void showLimit();
    void takeLimit();
    void swap();
    void ask();
    void start();
    void take(ComparisonAnswer answer);
    void showAnswer();
    void showComparison(const report::SettingComparison& comparison);
    void showAlone(const report::SettingAccount& account);
    void showRanking();
    [[nodiscard]] ComparisonQuestion question(const report::SettingPair& pair) const;
    [[nodiscard]] QString whatToBring() const;

    SessionDocument& m_document;
    JobRunner m_runner;
    QTimer* m_delay = nullptr;
    std::optional<ComparisonAnswer> m_answer;
    bool m_isStale = true;
    bool m_filling = false; ///< the page fills its own fields

    QStackedWidget* m_stack = nullptr;
    EmptyState* m_empty = nullptr;
    QComboBox* m_a = nullptr;
    QComboBox* m_b = nullptr;
    QToolButton* m_swap = nullptr;
    QComboBox* m_figure = nullptr;
    QDoubleSpinBox* m_limit = nullptr;
    QDoubleSpinBox* m_margin = nullptr;
    QLabel* m_working = nullptr;
    std::array<VerdictCard*, 3> m_verdicts {};
    QSplitter* m_splitter = nullptr;
    LatencyChart* m_chart = nullptr;
    QLabel* m_binRule = nullptr;
    FigureTable* m_figures = nullptr;
    FigureTable* m_each = nullptr;
    FigureTable* m_ranking = nullptr;
    SentenceList* m_rankingWords = nullptr;
    SentenceList* m_fair = nullptr;
    SentenceList* m_conditions = nullptr;
    SentenceList* m_rest = nullptr;
};

} // namespace twinlamp::ui
