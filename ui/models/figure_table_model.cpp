// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/models/figure_table_model.h"

#include "ui/theme/theme.h"

#include <utility>

namespace twinlamp::ui {

namespace {

/// Names to the left, figures to the right.
QVariant alignmentIn(int column)
{
    return column == 0 ? QVariant(Qt::AlignLeft | Qt::AlignVCenter)
                       : QVariant(Qt::AlignRight | Qt::AlignVCenter);
}

} // namespace

FigureTableModel::FigureTableModel(QObject* parent)
    : QAbstractTableModel(parent)
{
}

void FigureTableModel::setTable(const QStringList& columns, std::vector<FigureRow> rows)
{
    if (columns == m_columns && rows == m_rows) {
        return; // a selection stays where nothing changed
    }
    beginResetModel();
    m_columns = columns;
    m_rows = std::move(rows);
    endResetModel();
}

int FigureTableModel::rowCount(const QModelIndex& parent) const
{
    return parent.isValid() ? 0 : static_cast<int>(m_rows.size());
}

int FigureTableModel::columnCount(const QModelIndex& parent) const
{
    return parent.isValid() ? 0 : static_cast<int>(m_columns.size());
}

QVariant FigureTableModel::data(const QModelIndex& index, int role) const
{
    if (!index.isValid() || index.row() >= rowCount() || index.column() >= columnCount()) {
        return {};
    }
    const FigureRow& row = m_rows[static_cast<std::size_t>(index.row())];
    switch (role) {
    case Qt::DisplayRole:
    case Qt::AccessibleTextRole:
        return row.cells.value(index.column());
    case Qt::ToolTipRole:
        return row.toolTip.isEmpty() ? QVariant() : row.toolTip;
    case Qt::TextAlignmentRole:
        return alignmentIn(index.column());
    case Qt::FontRole:
        return row.heading ? QVariant(typeFont(TypeSize::Small, true)) : QVariant();
    case Qt::ForegroundRole:
        return row.heading ? QVariant(colours()[ColourRole::QuietText]) : QVariant();
    default:
        return {};
    }
}

QVariant FigureTableModel::headerData(int section, Qt::Orientation orientation, int role) const
{
    if (orientation != Qt::Horizontal) {
        return {};
    }
    if (role == Qt::DisplayRole) {
        return m_columns.value(section);
    }
    if (role == Qt::TextAlignmentRole) {
        return alignmentIn(section);
    }
    return {};
}

} // namespace twinlamp::ui
