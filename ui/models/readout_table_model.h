// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/models/readout_answer.h"

#include <QAbstractTableModel>

#include <vector>

namespace twinlamp::ui {

/// Lines that readouts are typed into: what the line is, what was measured, what the goggle says
/// (the one column that takes text) and the difference.
class ReadoutTableModel : public QAbstractTableModel
{
    Q_OBJECT

public:
    explicit ReadoutTableModel(QObject* parent = nullptr);

    /// Lines of the same presses or settings are changed in place, so that typing goes on.
    void setRows(report::PairsOf of, std::vector<ReadoutRow> rows);
    void setEditable(bool editable);

    [[nodiscard]] const std::vector<ReadoutRow>& rows() const { return m_rows; }

    [[nodiscard]] report::PairsOf of() const { return m_of; }

    [[nodiscard]] int typedColumn() const;

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    [[nodiscard]] QVariant headerData(
        int section, Qt::Orientation orientation, int role) const override;
    [[nodiscard]] Qt::ItemFlags flags(const QModelIndex& index) const override;
    bool setData(const QModelIndex& index, const QVariant& value, int role) override;

Q_SIGNALS:
    /// A line was given these figures; nothing is kept until the lines are set anew.
    void readoutTyped(int row, const std::vector<double>& typedMs);
    /// The text is no figure.
    void notUnderstood(const QString& text);

private:
    [[nodiscard]] int alignment(int column) const;
    [[nodiscard]] QString cellText(const ReadoutRow& row, int column) const;

    report::PairsOf m_of = report::PairsOf::Presses;
    QStringList m_names;
    std::vector<ReadoutRow> m_rows;
    bool m_editable = true;
};

} // namespace twinlamp::ui
