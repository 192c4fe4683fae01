// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/models/press_table_model.h"

#include <QWidget>

#include <optional>
#include <vector>

class QComboBox;
class QLabel;
class QTableView;
class QToolButton;
class QVBoxLayout;

namespace twinlamp::ui {

class PressFilterModel;

/// Every press of what is in hand, to compare, to jump to, to accept or set aside.
class PressTable : public QWidget
{
    Q_OBJECT

public:
    explicit PressTable(QWidget* parent = nullptr);

    /// @param severalClips  shows the column that names the clip
    void setRows(std::vector<PressRow> rows, bool severalClips);
    void pick(std::optional<session::PressAddress> press);

    [[nodiscard]] PressTableModel& model() { return *m_model; }

Q_SIGNALS:
    void pressPicked(twinlamp::session::PressAddress press);
    void acceptAsked(twinlamp::session::PressAddress press, bool accepted);
    /// Explain the press in hand.
    void explainAsked();
    void reasonTyped(twinlamp::session::PressAddress press, const QString& reason);

private:
    void build();
    void updateCount();
    void buildHead(QVBoxLayout* column);
    void showMenu(const QPoint& at);

    PressTableModel* m_model = nullptr;
    PressFilterModel* m_shown = nullptr;
    QTableView* m_table = nullptr;
    QLabel* m_count = nullptr;
    QComboBox* m_filter = nullptr;
    QToolButton* m_explain = nullptr;
};

} // namespace twinlamp::ui
