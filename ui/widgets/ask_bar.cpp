// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/ask_bar.h"

#include "ui/theme/theme.h"
#include "ui/widgets/flow_layout.h"
#include "ui/widgets/marking.h"

#include <QApplication>
#include <QHBoxLayout>
#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QToolButton>

namespace twinlamp::ui {

AskBar::AskBar(Question question, QWidget* parent)
    : QWidget(parent)
    , m_question(std::move(question))
{
    setObjectName(QStringLiteral("askBar"));
    setAttribute(Qt::WA_StyledBackground);
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(16, 8, 8, 8);
    row->setSpacing(12);
    auto* words = new QVBoxLayout;
    words->setSpacing(2);
    auto* text = new QLabel(m_question.text);
    text->setFont(typeFont(TypeSize::Base, true));
    text->setWordWrap(true);
    text->setTextInteractionFlags(Qt::TextSelectableByMouse);
    words->addWidget(text);
    if (!m_question.why.isEmpty()) {
        auto* why = new QLabel(m_question.why);
        why->setWordWrap(true);
        words->addWidget(why);
    }
    row->addLayout(words, 1);
    // One answer fits beside its question; several stand below it.
    const bool single = m_question.answers.size() == 1 && !m_question.field;
    if (single) {
        row->addWidget(buildAnswers());
    } else if (!m_question.answers.empty() || m_question.field) {
        words->addSpacing(4);
        words->addWidget(buildAnswers());
    }
    if (m_question.closable) {
        auto* close = new QToolButton;
        close->setIcon(themeIcon(QStringLiteral("close")));
        close->setToolTip(tr("Close (Escape)"));
        close->setAccessibleName(tr("Close"));
        connect(close, &QToolButton::clicked, this, &AskBar::answered);
        row->addWidget(close, 0, Qt::AlignTop);
    }
    setAccessibleName(m_question.text);
}

QWidget* AskBar::buildAnswers()
{
    auto* box = new QWidget;
    auto* flow = new FlowLayout(box, 8);
    for (std::size_t i = 0; i < m_question.answers.size(); ++i) {
        const Question::Answer& answer = m_question.answers[i];
        auto* button = new QPushButton(answer.text);
        button->setAutoDefault(true); // Return presses it, not the space bar only
        if (static_cast<int>(i) == m_question.likely) {
            makePrimary(button);
        }
        connect(button, &QPushButton::clicked, this, [this, act = answer.act] {
            Q_EMIT answered();
            if (act) {
                act();
            }
        });
        flow->addWidget(button);
    }
    if (m_question.field) {
        flow->addWidget(buildField());
    }
    return box;
}

QWidget* AskBar::buildField()
{
    auto* box = new QWidget;
    auto* row = new QHBoxLayout(box);
    row->setContentsMargins(0, 0, 0, 0);
    row->setSpacing(4);
    auto* label = new QLabel(m_question.field->label);
    auto* edit = new QLineEdit;
    edit->setPlaceholderText(m_question.field->placeholder);
    edit->setAccessibleName(m_question.field->label);
    edit->setFixedWidth(fontMetrics().averageCharWidth() * 16);
    auto* button = new QPushButton(m_question.field->button);
    button->setAutoDefault(true);
    label->setBuddy(edit);
    row->addWidget(label);
    row->addWidget(edit);
    row->addWidget(button);
    const auto take = [this, edit] {
        if (m_question.field->take(edit->text())) {
            Q_EMIT answered();
        } else {
            markWrong(edit, m_question.field->expected);
        }
    };
    connect(edit, &QLineEdit::returnPressed, this, take);
    connect(edit, &QLineEdit::textEdited, this, [edit] { markWrong(edit, false); });
    connect(button, &QPushButton::clicked, this, take);
    return box;
}

void AskBar::focusFirst()
{
    if (auto* button = findChild<QPushButton*>()) {
        button->setFocus(Qt::TabFocusReason);
    }
}

void AskBar::keyPressEvent(QKeyEvent* event)
{
    if (event->key() == Qt::Key_Escape && m_question.closable) {
        Q_EMIT answered();
    } else {
        QWidget::keyPressEvent(event);
    }
}

AskStack::AskStack(QWidget* parent)
    : QWidget(parent)
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
}

AskBar* AskStack::find(const QString& key) const
{
    for (AskBar* bar : findChildren<AskBar*>(QString(), Qt::FindDirectChildrenOnly)) {
        if (bar->key() == key && !bar->property("gone").toBool()) {
            return bar;
        }
    }
    return nullptr;
}

void AskStack::ask(Question question)
{
    const QPointer<QWidget> focusBefore = m_focusBefore;
    withdraw(question.key);
    m_focusBefore = focusBefore; // a question that is asked anew was not answered
    auto* bar = new AskBar(std::move(question), this);
    connect(bar, &AskBar::answered, this, [this, bar] { withdraw(bar->key()); });
    static_cast<QVBoxLayout*>(layout())->insertWidget(0, bar); // the newest where the eye is
    bar->show();
}

void AskStack::withdraw(const QString& key)
{
    if (AskBar* bar = find(key)) {
        bar->setProperty("gone", true);
        QWidget* now = QApplication::focusWidget();
        if (bar->isAncestorOf(now)) {
            // Not on to whatever comes next: a key would act there unasked.
            if (m_focusBefore) {
                m_focusBefore->setFocus();
            } else {
                now->clearFocus();
            }
            m_focusBefore.clear();
        }
        bar->hide();
        layout()->removeWidget(bar);
        bar->deleteLater();
    }
}

bool AskStack::isAsking(const QString& key) const { return find(key) != nullptr; }

void AskStack::focusOn(const QString& key)
{
    if (AskBar* bar = find(key)) {
        QWidget* now = QApplication::focusWidget();
        if (now == nullptr || !isAncestorOf(now)) {
            m_focusBefore = now;
        }
        bar->focusFirst();
    }
}

} // namespace twinlamp::ui
