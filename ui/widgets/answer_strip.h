// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/jobs/progress_scale.h"

#include <QWidget>

#include <optional>

class QLabel;
class QProgressBar;
class QPushButton;

namespace twinlamp::ui {

/// Top of the page: the answer in a sentence, and the work that is going on.
class AnswerStrip : public QWidget
{
    Q_OBJECT

public:
    explicit AnswerStrip(QWidget* parent = nullptr);

    /// @param strong  the part of it that is the answer; drawn in the second weight
    void setSentence(const QString& sentence, const QString& strong = {});
    /// @param stage  what is done and to what; empty when nothing is
    void setWork(const QString& stage, std::optional<ScaledProgress> progress);
    /// What the button would measure; empty hides it.
    void setMeasureOffer(const QString& text);
    /// Puts an action at the strip's end, as an icon.
    void addAction(QAction* action);

Q_SIGNALS:
    void stopAsked();
    void measureAsked();

private:
    QLabel* m_sentence = nullptr;
    QLabel* m_stage = nullptr;
    QProgressBar* m_progress = nullptr;
    QPushButton* m_stop = nullptr;
    QPushButton* m_measure = nullptr;
    QString m_offer;
};

} // namespace twinlamp::ui
