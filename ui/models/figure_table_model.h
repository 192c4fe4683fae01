// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QAbstractTableModel>
#include <QStringList>

#include <vector>

namespace twinlamp::ui {

/// One line of a table of figures.
struct FigureRow
{
    QStringList cells; ///< the first one names the line; cells that are left out are empty
    QString toolTip; ///< what the line means, with its unit
    bool heading = false; ///< names the lines below it
    bool operator==(const FigureRow&) const = default;
};

/// Figures as texts, the names of the lines in the first column.
class FigureTableModel : public QAbstractTableModel
{
    Q_OBJECT

public:
    explicit FigureTableModel(QObject* parent = nullptr);

    void setTable(const QStringList& columns, std::vector<FigureRow> rows);

    [[nodiscard]] const std::vector<FigureRow>& rows() const { return m_rows; }

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    [[nodiscard]] QVariant headerData(
        int section, Qt::Orientation orientation, int role) const override;

private:
    QStringList m_columns;
    std::vector<FigureRow> m_rows;
};

} // namespace twinlamp::ui
