// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/press_delegate.h"

#include "ui/models/press_table_model.h"
#include "ui/theme/theme.h"

#include <QPainter>
#include <QStyle>

namespace twinlamp::ui {

namespace {

constexpr int figureGapPx = 8;

} // namespace

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
    QStyleOptionViewItem cell = option;
    const QWidget* table = option.widget;
    const Qt::Alignment side(index.data(Qt::TextAlignmentRole).toInt());
    if (table != nullptr && side.testFlag(Qt::AlignRight)) {
        // Air between a figure and the words of the next column; the ground goes on below it.
        QStyleOptionViewItem ground = option;
        initStyleOption(&ground, index);
        table->style()->drawPrimitive(QStyle::PE_PanelItemViewItem, &ground, painter, table);
        cell.rect.adjust(0, 0, -figureGapPx, 0);
    }
    QStyledItemDelegate::paint(painter, cell, index);
    if (!index.data(PressTableModel::AcceptedRole).toBool()) {
        QColor hatch = colours()[ColourRole::Doubt];
        hatch.setAlphaF(0.28F);
        painter->fillRect(option.rect, QBrush(hatch, Qt::BDiagPattern));
    }
}

} // namespace twinlamp::ui
