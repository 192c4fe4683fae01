// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/empty_state.h"

#include "ui/theme/theme.h"

#include <QLabel>
#include <QVBoxLayout>

namespace twinlamp::ui {

EmptyState::EmptyState(const QString& title, QWidget* parent)
    : QWidget(parent)
    , m_text(new QLabel)
{
    constexpr int width = 560; // lines longer than this are hard to read
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(48, 24, 48, 24);
    column->setSpacing(12);
    auto* heading = new QLabel(title);
    heading->setFont(typeFont(TypeSize::Figure, true));
    heading->setFixedWidth(width);
    m_text->setWordWrap(true);
    m_text->setFixedWidth(width);
    column->addStretch(1);
    column->addWidget(heading, 0, Qt::AlignHCenter);
    column->addWidget(m_text, 0, Qt::AlignHCenter);
    column->addStretch(2);
}

void EmptyState::setText(const QString& whatToBring) { m_text->setText(whatToBring); }

} // namespace twinlamp::ui
