// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QSortFilterProxyModel>

namespace twinlamp::ui {

enum class PressFilter
{
    All,
    OnEdges,
    OffEdges,
    Doubted,
    SetAside
};

/// The press table cut down to some presses and sorted by figures, not by their texts.
class PressFilterModel : public QSortFilterProxyModel
{
    Q_OBJECT

public:
    explicit PressFilterModel(QObject* parent = nullptr);

    void setFilter(PressFilter filter);

protected:
    /// Presses without the figure come last, whichever way it is sorted.
    [[nodiscard]] bool lessThan(const QModelIndex& left, const QModelIndex& right) const override;
    [[nodiscard]] bool filterAcceptsRow(
        int sourceRow, const QModelIndex& sourceParent) const override;

private:
    PressFilter m_filter = PressFilter::All;
};

} // namespace twinlamp::ui
