// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit.h"
#include "core/session/effective.h"

#include <QAbstractTableModel>

#include <optional>
#include <vector>

namespace twinlamp::ui {

/// One row of the press table.
struct PressRow
{
    session::PressAddress address;
    QString clip; ///< name of the clip, shown where the table spans several
    session::EffectivePress press;
    bool operator==(const PressRow&) const = default;
};

/// Every press with its figures and doubts. Ticking `accepted` asks; it changes nothing here.
class PressTableModel : public QAbstractTableModel
{
    Q_OBJECT

public:
    enum Column
    {
        Number,
        Clip,
        EdgeKind,
        Onset,
        FirstLight,
        LatencyColumn,
        FullFrame,
        Doubts,
        Accepted,
        ColumnCount
    };

    enum Role
    {
        SortRole = Qt::UserRole + 1,
        AcceptedRole, ///< bool, for every column
        MovedRole ///< a hand moved the mark of this column
    };

    explicit PressTableModel(QObject* parent = nullptr);

    void setRows(std::vector<PressRow> rows);

    [[nodiscard]] const std::vector<PressRow>& rows() const { return m_rows; }

    [[nodiscard]] std::optional<int> rowOf(session::PressAddress address) const;

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    bool setData(const QModelIndex& index, const QVariant& value, int role) override;
    [[nodiscard]] QVariant headerData(
        int section, Qt::Orientation orientation, int role) const override;
    [[nodiscard]] Qt::ItemFlags flags(const QModelIndex& index) const override;

Q_SIGNALS:
    void acceptAsked(twinlamp::session::PressAddress press, bool accepted);
    /// New words for the reason why a press is set aside.
    void reasonTyped(twinlamp::session::PressAddress press, const QString& reason);

private:
    [[nodiscard]] QString text(const PressRow& row, int column) const;
    [[nodiscard]] QVariant sortValue(const PressRow& row, int column) const;
    [[nodiscard]] QString toolTip(const PressRow& row, int column) const;

    std::vector<PressRow> m_rows;
};

/// Why a press does not count, in words: the tester's, else the flags'.
[[nodiscard]] QString reasonText(const session::EffectivePress& press);

} // namespace twinlamp::ui
