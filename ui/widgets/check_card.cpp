// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/check_card.h"

#include "core/report/check_report.h"
#include "ui/theme/theme.h"
#include "ui/widgets/marking.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QToolButton>
#include <QVBoxLayout>

namespace twinlamp::ui {

QString verdictText(const CheckResult& check)
{
    switch (report::verdictOf(check)) {
    case report::CheckVerdict::Good:
        return QChar(0x25CF) % CheckCard::tr(" good");
    case report::CheckVerdict::Look:
        return QChar(0x25B2) % CheckCard::tr(" look");
    case report::CheckVerdict::Mend:
        break;
    }
    return QChar(0x2716) % CheckCard::tr(" mend");
}

QString sentencesOf(const CheckResult& check)
{
    QStringList paragraphs;
    for (const Sentence& sentence : report::checkSentences(check)) {
        QString text = QString::fromStdString(english(sentence));
        text.replace(QLatin1String("+-"), QStringLiteral("\u00B1"));
        text.replace(QLatin1String(" us"), QStringLiteral(" \u00B5s"));
        paragraphs << text;
    }
    return paragraphs.join(QLatin1Char('\n'));
}

CheckCard::CheckCard(const session::RigCheck& check, bool applied, bool writable, QWidget* parent)
    : QWidget(parent)
{
    setObjectName(QStringLiteral("checkCard"));
    setAttribute(Qt::WA_StyledBackground);
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 8, 0, 8);
    column->setSpacing(4);
    auto* head = new QHBoxLayout;
    head->setSpacing(12);
    const QString kind
        = check.result.kind() == CheckKind::Zero ? tr("Zero check") : tr("Time-base check");
    auto* title = new QLabel(kind % QStringLiteral(", ") % QString::fromStdString(check.date));
    title->setFont(typeFont(TypeSize::Base, true));
    auto* verdict = new QLabel(verdictText(check.result));
    auto* state = quietLabel(applied ? tr("applied to the rig's clips") : tr("an older one"));
    state->setWordWrap(false);
    auto* remove = new QToolButton;
    remove->setText(tr("Remove"));
    remove->setToolTip(tr("Takes this check out of the rig; it can be undone"));
    remove->setEnabled(writable);
    head->addWidget(title);
    head->addWidget(verdict);
    head->addWidget(state);
    head->addStretch();
    head->addWidget(remove);
    column->addLayout(head);
    auto* says = new QLabel(sentencesOf(check.result));
    says->setWordWrap(true);
    says->setTextInteractionFlags(Qt::TextSelectableByMouse);
    column->addWidget(says);
    column->addWidget(quietLabel(tr("From %1").arg(QString::fromStdString(check.result.file))));
    connect(remove, &QToolButton::clicked, this, &CheckCard::removeAsked);
}

} // namespace twinlamp::ui
