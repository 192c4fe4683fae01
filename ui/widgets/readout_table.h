// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTableView>

namespace twinlamp::ui {

class ReadoutTableModel;

/// A table that readouts are typed into one below the other: Enter keeps one and goes to the next
/// line, and a column of figures can be pasted.
class ReadoutTable : public QTableView
{
    Q_OBJECT

public:
    explicit ReadoutTable(ReadoutTableModel& model, QWidget* parent = nullptr);

    /// Whether a figure is being typed: new lines would take it away.
    [[nodiscard]] bool isTyping() const { return state() == QAbstractItemView::EditingState; }

    /// Brings a line into sight and its readout under the keyboard.
    void goTo(int row);

Q_SIGNALS:
    /// Lines of text for the line in hand and those below it.
    void pasted(int row, const QStringList& texts);
    void clearAsked(int row);

protected:
    void keyPressEvent(QKeyEvent* event) override;
    void closeEditor(QWidget* editor, QAbstractItemDelegate::EndEditHint hint) override;

private:
    ReadoutTableModel& m_model;
};

} // namespace twinlamp::ui
