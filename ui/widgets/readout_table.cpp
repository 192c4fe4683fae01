// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/readout_table.h"

#include "ui/models/readout_table_model.h"

#include <QApplication>
#include <QClipboard>
#include <QHeaderView>
#include <QKeyEvent>

namespace twinlamp::ui {

namespace {

constexpr int lineGap = 8;

} // namespace

ReadoutTable::ReadoutTable(ReadoutTableModel& model, QWidget* parent)
    : QTableView(parent)
    , m_model(model)
{
    setModel(&model);
    setAccessibleName(tr("Readouts of the goggle beside measured latencies"));
    setShowGrid(false);
    setWordWrap(false);
    setAlternatingRowColors(false);
    setSelectionMode(QAbstractItemView::SingleSelection);
    setEditTriggers(QAbstractItemView::AnyKeyPressed | QAbstractItemView::DoubleClicked
        | QAbstractItemView::EditKeyPressed | QAbstractItemView::SelectedClicked);
    setTabKeyNavigation(false);
    verticalHeader()->hide();
    verticalHeader()->setMinimumSectionSize(0);
    verticalHeader()->setSectionResizeMode(QHeaderView::Fixed);
    verticalHeader()->setDefaultSectionSize(fontMetrics().height() + lineGap);
    horizontalHeader()->setHighlightSections(false);
    horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
    connect(&model, &QAbstractItemModel::modelReset, this, [this] {
        horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
        horizontalHeader()->setSectionResizeMode(0, QHeaderView::Stretch);
    });
}

void ReadoutTable::goTo(int row)
{
    const QModelIndex index = m_model.index(row, m_model.typedColumn());
    setCurrentIndex(index);
    scrollTo(index);
}

void ReadoutTable::keyPressEvent(QKeyEvent* event)
{
    const QModelIndex current = currentIndex();
    if (event->matches(QKeySequence::Paste) && current.isValid()) {
        // A column that a spreadsheet copied ends with an empty line.
        QStringList texts = QApplication::clipboard()->text().split(QLatin1Char('\n'));
        while (!texts.isEmpty() && texts.back().trimmed().isEmpty()) {
            texts.removeLast();
        }
        if (!texts.isEmpty()) {
            Q_EMIT pasted(current.row(), texts);
        }
        return;
    }
    if (event->key() == Qt::Key_Delete && current.isValid()) {
        Q_EMIT clearAsked(current.row());
        return;
    }
    // Whatever cell is in hand: there is one that takes text.
    if (current.isValid() && current.column() != m_model.typedColumn()
        && !event->text().trimmed().isEmpty()) {
        goTo(current.row());
    }
    QTableView::keyPressEvent(event);
}

void ReadoutTable::closeEditor(QWidget* editor, QAbstractItemDelegate::EndEditHint hint)
{
    const int row = currentIndex().row();
    QTableView::closeEditor(editor, hint);
    if (hint == QAbstractItemDelegate::SubmitModelCache && row + 1 < m_model.rowCount()) {
        goTo(row + 1);
    }
}

} // namespace twinlamp::ui
