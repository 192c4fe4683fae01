// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/verdict_card.h"

#include "ui/theme/theme.h"
#include "ui/widgets/marking.h"

#include <QLabel>
#include <QVBoxLayout>

namespace twinlamp::ui {

namespace {

QLabel* readable()
{
    auto* label = new QLabel;
    label->setWordWrap(true);
    label->setTextInteractionFlags(Qt::TextSelectableByMouse);
    return label;
}

} // namespace

VerdictCard::VerdictCard(QWidget* parent)
    : QWidget(parent)
    , m_question(headingLabel({}))
    , m_answer(readable())
    , m_sentences(readable())
    , m_needed(readable())
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(2);
    m_needed->setFont(typeFont(TypeSize::Base, true));
    column->addWidget(m_question);
    column->addWidget(m_answer);
    column->addWidget(m_sentences);
    column->addWidget(m_needed);
    column->addStretch();
}

void VerdictCard::setWords(const VerdictWords& words)
{
    m_question->setText(words.question.toUpper());
    m_answer->setText(words.answer);
    // What is not told is not set bold: it must not look like an answer.
    m_answer->setFont(typeFont(TypeSize::Figure, words.isTold));
    m_sentences->setText(words.sentences.join(QLatin1Char(' ')));
    m_sentences->setFont(typeFont(TypeSize::Small));
    m_needed->setText(words.needed);
    m_needed->setVisible(!words.needed.isEmpty());
    setAccessibleName(words.question);
    setAccessibleDescription(words.answer % QStringLiteral(". ")
        % words.sentences.join(QLatin1Char(' ')) % QLatin1Char(' ') % words.needed);
}

} // namespace twinlamp::ui
