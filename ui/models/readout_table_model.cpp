// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/models/readout_table_model.h"

#include "ui/theme/theme.h"
#include "ui/widgets/figures.h"

#include <QBrush>

#include <algorithm>
#include <utility>

namespace twinlamp::ui {

namespace {

/// Whether two lists have the same lines, whatever was typed into them.
bool isSameList(const std::vector<ReadoutRow>& before, const std::vector<ReadoutRow>& after)
{
    return std::ranges::equal(before, after, [](const ReadoutRow& a, const ReadoutRow& b) {
        return a.setting == b.setting && a.press == b.press;
    });
}

} // namespace

ReadoutTableModel::ReadoutTableModel(QObject* parent)
    : QAbstractTableModel(parent)
    , m_names(readoutNameColumns(m_of))
{
}

void ReadoutTableModel::setRows(report::PairsOf of, std::vector<ReadoutRow> rows)
{
    if (of == m_of && isSameList(m_rows, rows)) {
        m_rows = std::move(rows);
        if (!m_rows.empty()) {
            Q_EMIT dataChanged(index(0, 0), index(rowCount() - 1, columnCount() - 1));
        }
        return;
    }
    beginResetModel();
    m_of = of;
    m_names = readoutNameColumns(of);
    m_rows = std::move(rows);
    endResetModel();
}

void ReadoutTableModel::setEditable(bool editable) { m_editable = editable; }

int ReadoutTableModel::typedColumn() const { return static_cast<int>(m_names.size()) + 1; }

int ReadoutTableModel::rowCount(const QModelIndex& parent) const
{
    return parent.isValid() ? 0 : static_cast<int>(m_rows.size());
}

int ReadoutTableModel::columnCount(const QModelIndex& parent) const
{
    constexpr int figures = 3;
    return parent.isValid() ? 0 : static_cast<int>(m_names.size()) + figures;
}

/// Numbers end at the right; the last of the naming columns counts presses.
int ReadoutTableModel::alignment(int column) const
{
    return static_cast<int>(
        (column >= m_names.size() - 1 ? Qt::AlignRight : Qt::AlignLeft) | Qt::AlignVCenter);
}

QString ReadoutTableModel::cellText(const ReadoutRow& row, int column) const
{
    constexpr int decimals = 2;
    if (column < m_names.size()) {
        return row.names.value(column);
    }
    if (column == typedColumn()) {
        return readoutsText(row.typedMs);
    }
    const auto& value = column < typedColumn() ? row.measuredMs : row.differenceMs();
    return value ? numberText(*value, decimals) : QString();
}

QVariant ReadoutTableModel::data(const QModelIndex& index, int role) const
{
    if (!index.isValid() || index.row() >= rowCount()) {
        return {};
    }
    const ReadoutRow& row = m_rows[static_cast<std::size_t>(index.row())];
    const int column = index.column();
    switch (role) {
    case Qt::DisplayRole:
    case Qt::EditRole:
        return cellText(row, column);
    case Qt::TextAlignmentRole:
        return alignment(column);
    case Qt::BackgroundRole: // looks like the field that it is
        return column == typedColumn() && m_editable ? QBrush(colours()[ColourRole::Surface])
                                                     : QVariant();
    case Qt::ToolTipRole:
        return column == typedColumn() && m_editable
            ? tr("Latency that the goggle displayed, in ms: type it and press Enter for the next "
                 "line. A column copied elsewhere can be pasted from here on.")
            : cellText(row, column);
    default:
        return {};
    }
}

QVariant ReadoutTableModel::headerData(int section, Qt::Orientation orientation, int role) const
{
    if (orientation == Qt::Horizontal && role == Qt::TextAlignmentRole) {
        return alignment(section);
    }
    if (orientation != Qt::Horizontal || role != Qt::DisplayRole) {
        return {};
    }
    if (section < m_names.size()) {
        return m_names[section];
    }
    const QStringList figures {
        m_of == report::PairsOf::Presses ? tr("measured, ms") : tr("median measured, ms"),
        tr("goggle says, ms"), tr("difference, ms")};
    return figures.value(section - static_cast<int>(m_names.size()));
}

Qt::ItemFlags ReadoutTableModel::flags(const QModelIndex& index) const
{
    const Qt::ItemFlags usual = QAbstractTableModel::flags(index);
    return m_editable && index.column() == typedColumn() ? usual | Qt::ItemIsEditable : usual;
}

bool ReadoutTableModel::setData(const QModelIndex& index, const QVariant& value, int role)
{
    if (role != Qt::EditRole || !(flags(index) & Qt::ItemIsEditable)) {
        return false;
    }
    const auto typed = readoutsIn(value.toString(), m_of);
    if (!typed) {
        Q_EMIT notUnderstood(value.toString());
        return false;
    }
    if (*typed != m_rows[static_cast<std::size_t>(index.row())].typedMs) {
        Q_EMIT readoutTyped(index.row(), *typed);
    }
    return true;
}

} // namespace twinlamp::ui
