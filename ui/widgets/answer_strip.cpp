// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/answer_strip.h"

#include "ui/theme/theme.h"
#include "ui/widgets/marking.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QProgressBar>
#include <QPushButton>
#include <QToolButton>

namespace twinlamp::ui {

AnswerStrip::AnswerStrip(QWidget* parent)
    : QWidget(parent)
{
    setObjectName(QStringLiteral("answerStrip"));
    setAttribute(Qt::WA_StyledBackground);
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(16, 4, 8, 4);
    row->setSpacing(12);
    m_sentence = new QLabel;
    m_sentence->setWordWrap(true);
    m_sentence->setTextInteractionFlags(Qt::TextSelectableByMouse);
    m_stage = new QLabel;
    m_stage->setFont(typeFont(TypeSize::Small));
    m_progress = new QProgressBar;
    m_progress->setTextVisible(false);
    m_progress->setFixedWidth(140);
    m_stop = new QPushButton(tr("Stop"));
    m_stop->setIcon(themeIcon(QStringLiteral("stop")));
    m_measure = new QPushButton;
    makePrimary(m_measure);
    row->addWidget(m_sentence, 1);
    row->addWidget(m_stage);
    row->addWidget(m_progress);
    row->addWidget(m_stop);
    row->addWidget(m_measure);
    connect(m_stop, &QPushButton::clicked, this, &AnswerStrip::stopAsked);
    connect(m_measure, &QPushButton::clicked, this, &AnswerStrip::measureAsked);
    setWork({}, std::nullopt);
}

void AnswerStrip::addAction(QAction* action)
{
    auto* button = new QToolButton;
    button->setDefaultAction(action);
    button->setToolButtonStyle(Qt::ToolButtonIconOnly);
    static_cast<QHBoxLayout*>(layout())->addWidget(button);
}

void AnswerStrip::setSentence(const QString& sentence, const QString& strong)
{
    QString html = sentence.toHtmlEscaped();
    if (!strong.isEmpty()) {
        const QString part = strong.toHtmlEscaped();
        html.replace(part, QStringLiteral("<b style=\"font-size: large\">%1</b>").arg(part));
    }
    m_sentence->setTextFormat(Qt::RichText);
    m_sentence->setText(html);
}

void AnswerStrip::setWork(const QString& stage, std::optional<ScaledProgress> progress)
{
    const bool working = !stage.isEmpty();
    m_stage->setText(stage);
    m_stage->setVisible(working);
    m_progress->setVisible(working);
    m_stop->setVisible(working);
    m_measure->setVisible(!working && !m_offer.isEmpty());
    // Without a known total the bar only shows that work goes on.
    m_progress->setRange(0, progress ? progress->maximum : 0);
    m_progress->setValue(progress ? progress->value : 0);
}

void AnswerStrip::setMeasureOffer(const QString& text)
{
    m_offer = text;
    m_measure->setText(text);
    m_measure->setVisible(!text.isEmpty() && !m_progress->isVisibleTo(this));
}

} // namespace twinlamp::ui
