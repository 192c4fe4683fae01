// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/effective.h"

#include <QWidget>

#include <optional>

class QGridLayout;
class QLabel;
class QLineEdit;
class QPushButton;
class QToolButton;

namespace twinlamp::ui {

class LatencyBudget;

/// The press in hand: its figure, what it is made of, its doubts in words, and what a hand can do.
class PressPanel : public QWidget
{
    Q_OBJECT

public:
    explicit PressPanel(QWidget* parent = nullptr);

    /// `readoutMs`: what the goggle displayed about itself at this press, as typed in.
    void setPress(const std::optional<session::EffectivePress>& press,
        std::optional<double> readoutMs = std::nullopt);
    void setEditable(bool editable);

Q_SIGNALS:
    void markTyped(twinlamp::session::Mark mark, twinlamp::RealTime time);
    void markReset(twinlamp::session::Mark mark);
    /// Nothing: taken away.
    void readoutTyped(std::optional<double> latencyMs);
    void setAsideAsked();
    void acceptAsked();

private:
    struct MarkField
    {
        session::Mark mark = session::Mark::Onset;
        QLineEdit* edit = nullptr;
        QToolButton* reset = nullptr;
    };

    MarkField addMarkField(QGridLayout* grid, int row, session::Mark mark, const QString& name);
    void fillField(
        const MarkField& field, std::optional<RealTime> counted, std::optional<RealTime> measured);
    void onTyped(const MarkField& field);
    void addReadoutField(QGridLayout* grid, int row);
    void onReadoutTyped();

    QLabel* m_figure = nullptr;
    QLabel* m_fullFrame = nullptr;
    QLabel* m_edge = nullptr;
    LatencyBudget* m_budget = nullptr;
    QLabel* m_doubts = nullptr;
    QWidget* m_body = nullptr;
    QLabel* m_empty = nullptr;
    QPushButton* m_accept = nullptr;
    MarkField m_onset;
    MarkField m_firstLight;
    QLineEdit* m_readout = nullptr;
    std::optional<double> m_readoutMs;
    std::optional<session::EffectivePress> m_press;
    bool m_editable = true;
};

} // namespace twinlamp::ui
