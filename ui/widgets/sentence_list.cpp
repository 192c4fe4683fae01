// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/sentence_list.h"

#include "ui/widgets/marking.h"

#include <QLabel>
#include <QVBoxLayout>

namespace twinlamp::ui {

SentenceList::SentenceList(const QString& heading, QWidget* parent)
    : QWidget(parent)
    , m_text(new QLabel)
{
    m_text->setWordWrap(true);
    m_text->setTextFormat(Qt::RichText);
    m_text->setTextInteractionFlags(Qt::TextSelectableByMouse);
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(2);
    column->addWidget(headingLabel(heading));
    column->addWidget(m_text);
    setAccessibleName(heading);
    setVisible(false);
}

void SentenceList::setSentences(const QStringList& sentences)
{
    m_sentences = sentences;
    QString html;
    for (const QString& sentence : sentences) {
        html += QStringLiteral("<p style=\"margin: 0 0 4px 0\">%1</p>")
                    .arg(sentence.toHtmlEscaped());
    }
    m_text->setText(html);
    setAccessibleDescription(sentences.join(QLatin1Char('\n')));
    setVisible(!sentences.isEmpty());
}

} // namespace twinlamp::ui
