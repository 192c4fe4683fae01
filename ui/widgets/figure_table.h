// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/models/figure_table_model.h"

#include <QTableView>

namespace twinlamp::ui {

/// A table of figures that is as high as its lines: it stands in a column that scrolls as a whole.
/// Lines are picked with the arrow keys; Ctrl+C copies the table, tabs between the cells.
class FigureTable : public QTableView
{
    Q_OBJECT

public:
    explicit FigureTable(const QString& accessibleName, QWidget* parent = nullptr);

    void setTable(const QStringList& columns, std::vector<FigureRow> rows);

    [[nodiscard]] FigureTableModel& figures() { return *m_model; }

    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

protected:
    void keyPressEvent(QKeyEvent* event) override;
    void wheelEvent(QWheelEvent* event) override;

private:
    [[nodiscard]] int wholeHeight() const;
    void copy() const;

    FigureTableModel* m_model = nullptr;
};

} // namespace twinlamp::ui
