// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/edits/session_document.h"
#include "ui/jobs/job_runner.h"
#include "ui/models/readout_answer.h"

#include <QWidget>

#include <optional>

class QComboBox;
class QLabel;
class QSplitter;
class QStackedWidget;
class QTimer;

namespace twinlamp::ui {

class AgreementChart;
class FigureTable;
class ReadoutTable;
class ReadoutTableModel;
class SentenceList;
class VerdictCard;

/// The page where what the goggle displays about itself is typed in and held against what was
/// measured: the verdict first, then a table to type into, the chart of differences and the
/// figures.
///
/// Worked out on a worker thread, anew after each change, and only while the page is seen.
class ReadoutPage : public QWidget
{
    Q_OBJECT

public:
    ReadoutPage(SessionDocument& document, QThreadPool& pool, QWidget* parent = nullptr);
    ~ReadoutPage() override;

    /// What is shown now; nothing before the first answer.
    [[nodiscard]] const std::optional<ReadoutAnswer>& answer() const { return m_answer; }

    [[nodiscard]] ReadoutTable& table() { return *m_table; }

    [[nodiscard]] ReadoutTableModel& model() { return *m_model; }

    /// Pairs of presses or of link settings, of one setting or of all (0).
    void pick(report::PairsOf of, session::SettingId setting);
    void stop();

Q_SIGNALS:
    void answered();

protected:
    void showEvent(QShowEvent* event) override;

private:
    void build();
    QWidget* buildChoice();
    QWidget* buildTable();
    QWidget* buildFigures();
    void wire();
    void onSessionChanged();
    void fillSettings();
    void ask();
    void start();
    void take(ReadoutAnswer answer);
    void showRows();
    void type(int row, const std::vector<double>& typedMs);
    void paste(int row, const QStringList& texts);
    void goToPair(int pair);
    void tell(const QString& text);
    void keep() const;
    [[nodiscard]] report::ReadoutCheckOptions options() const;

    SessionDocument& m_document;
    JobRunner m_runner;
    QTimer* m_delay = nullptr;
    std::optional<ReadoutAnswer> m_answer;
    bool m_isStale = true;
    bool m_filling = false; ///< the page fills its own fields

    QStackedWidget* m_stack = nullptr;
    QComboBox* m_of = nullptr;
    QComboBox* m_setting = nullptr;
    VerdictCard* m_verdict = nullptr;
    QSplitter* m_splitter = nullptr;
    ReadoutTableModel* m_model = nullptr;
    ReadoutTable* m_table = nullptr;
    QLabel* m_told = nullptr; ///< what was typed and not understood
    AgreementChart* m_chart = nullptr;
    FigureTable* m_figures = nullptr;
    SentenceList* m_words = nullptr;
};

} // namespace twinlamp::ui
