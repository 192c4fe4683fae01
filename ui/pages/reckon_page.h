// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/edits/session_document.h"
#include "ui/jobs/job_runner.h"
#include "ui/models/link_answer.h"

#include <QWidget>

#include <optional>

class QComboBox;
class QLabel;
class QPushButton;
class QSplitter;
class QTimer;

namespace twinlamp::ui {

class FigureTable;
class LatencyChart;
class PlanPanel;
class SentenceList;
class WhatIfForm;

/// The page of planning: how many presses a claim needs, and what two link settings leave room for,
/// with a measured setting on the same axis. The link is reckoned on a worker thread.
class ReckonPage : public QWidget
{
    Q_OBJECT

public:
    ReckonPage(SessionDocument& document, QThreadPool& pool, QWidget* parent = nullptr);
    ~ReckonPage() override;

    [[nodiscard]] PlanPanel& plans() { return *m_plans; }

    [[nodiscard]] WhatIfForm& form() { return *m_form; }

    [[nodiscard]] LatencyChart& chart() { return *m_chart; }

    [[nodiscard]] const std::optional<LinkAnswer>& answer() const { return m_answer; }

    /// Shows this setting's presses beside the models; 0: none.
    void pickMeasured(session::SettingId setting);
    void stop();

Q_SIGNALS:
    void answered();

protected:
    void showEvent(QShowEvent* event) override;

private:
    void build();
    QWidget* buildLink();
    QWidget* buildMeasured();
    QWidget* buildChart();
    void onSessionChanged();
    void takeSession();
    void ask();
    void start();
    void take(LinkAnswer answer);
    void keep() const;
    void takeConditions();
    [[nodiscard]] session::SettingId measured() const;

    SessionDocument& m_document;
    JobRunner m_runner;
    QTimer* m_delay = nullptr;
    std::optional<LinkAnswer> m_answer;
    QString m_wanted; ///< measured setting of the last time, by name
    bool m_isStale = true;
    bool m_isSessionNew = true;
    bool m_filling = false;

    PlanPanel* m_plans = nullptr;
    WhatIfForm* m_form = nullptr;
    QComboBox* m_measured = nullptr;
    QPushButton* m_conditions = nullptr;
    LatencyChart* m_chart = nullptr;
    QLabel* m_binRule = nullptr;
    FigureTable* m_table = nullptr;
    SentenceList* m_words = nullptr;
    QSplitter* m_splitter = nullptr;
};

} // namespace twinlamp::ui
