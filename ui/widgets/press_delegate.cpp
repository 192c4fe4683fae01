// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/press_delegate.h"

#include "ui/models/press_table_model.h"
#include "ui/theme/theme.h"

#include <QPainter>

namespace twinlamp::ui {

void PressDelegate::initStyleOption(QStyleOptionViewItem* option, const QModelIndex& index) const
{
    QStyledItemDelegate::initStyleOption(option, index);
    // The row is the unit here: no cell of its own shows the focus.
    option->state &= ~QStyle::State_HasFocus;
    if (index.column() == PressTableModel::LatencyColumn) {
        option->font = typeFont(TypeSize::Base, true);
    }
    if (index.data(PressTableModel::MovedRole).toBool()) {
        option->font.setItalic(true);
        option->text = QStringLiteral("* ") + option->text;
    }
    if (!index.data(PressTableModel::AcceptedRole).toBool()) {
        option->palette.setColor(QPalette::Text, colours()[ColourRole::QuietText]);
        option->palette.setColor(QPalette::HighlightedText, colours()[ColourRole::QuietText]);
    }
}

void PressDelegate::paint(
    QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const
{
    QStyledItemDelegate::paint(painter, option, index);
    if (!index.data(PressTableModel::AcceptedRole).toBool()) {
        QColor hatch = colours()[ColourRole::Doubt];
        hatch.setAlphaF(0.28F);
        painter->fillRect(option.rect, QBrush(hatch, Qt::BDiagPattern));
    }
}

} // namespace twinlamp::ui
