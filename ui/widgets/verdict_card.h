// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/models/comparison_words.h"

#include <QWidget>

class QLabel;

namespace twinlamp::ui {

/// One question about two settings with its answer large, the figures and the next step below.
class VerdictCard : public QWidget
{
    Q_OBJECT

public:
    explicit VerdictCard(QWidget* parent = nullptr);

    void setWords(const VerdictWords& words);

private:
    QLabel* m_question = nullptr;
    QLabel* m_answer = nullptr;
    QLabel* m_sentences = nullptr;
    QLabel* m_needed = nullptr;
};

} // namespace twinlamp::ui
