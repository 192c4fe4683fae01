// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/models/press_filter_model.h"

#include "ui/models/press_table_model.h"

namespace twinlamp::ui {

PressFilterModel::PressFilterModel(QObject* parent)
    : QSortFilterProxyModel(parent)
{
    setSortRole(PressTableModel::SortRole);
}

void PressFilterModel::setFilter(PressFilter filter)
{
    m_filter = filter;
    invalidateFilter();
}

bool PressFilterModel::lessThan(const QModelIndex& left, const QModelIndex& right) const
{
    const bool leftEmpty = !left.data(sortRole()).isValid();
    const bool rightEmpty = !right.data(sortRole()).isValid();
    if (leftEmpty != rightEmpty) {
        return sortOrder() == Qt::AscendingOrder ? rightEmpty : leftEmpty;
    }
    return QSortFilterProxyModel::lessThan(left, right);
}

bool PressFilterModel::filterAcceptsRow(int sourceRow, const QModelIndex& /*sourceParent*/) const
{
    const auto* table = qobject_cast<const PressTableModel*>(sourceModel());
    if (table == nullptr) {
        return true;
    }
    const Press& press = table->rows()[static_cast<std::size_t>(sourceRow)].press.press;
    switch (m_filter) {
    case PressFilter::All:
        return true;
    case PressFilter::OnEdges:
        return press.edge == Edge::On;
    case PressFilter::OffEdges:
        return press.edge == Edge::Off;
    case PressFilter::Doubted:
        return !press.flags.empty();
    case PressFilter::SetAside:
        return !press.accepted;
    }
    return true;
}

} // namespace twinlamp::ui
