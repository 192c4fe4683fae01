// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/figure_table.h"

#include <QApplication>
#include <QClipboard>
#include <QHeaderView>
#include <QKeyEvent>
#include <QScrollBar>
#include <QWheelEvent>

#include <utility>

namespace twinlamp::ui {

namespace {

constexpr int lineGap = 6;

} // namespace

FigureTable::FigureTable(const QString& accessibleName, QWidget* parent)
    : QTableView(parent)
    , m_model(new FigureTableModel(this))
{
    setModel(m_model);
    setAccessibleName(accessibleName);
    setShowGrid(false);
    setWordWrap(false);
    setSelectionBehavior(QAbstractItemView::SelectRows);
    setEditTriggers(QAbstractItemView::NoEditTriggers);
    setTabKeyNavigation(false);
    setVerticalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
    verticalHeader()->hide();
    verticalHeader()->setMinimumSectionSize(0);
    verticalHeader()->setSectionResizeMode(QHeaderView::Fixed);
    verticalHeader()->setDefaultSectionSize(fontMetrics().height() + lineGap);
    horizontalHeader()->setHighlightSections(false);
    horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
}

void FigureTable::setTable(const QStringList& columns, std::vector<FigureRow> rows)
{
    clearSpans();
    m_model->setTable(columns, std::move(rows));
    for (int row = 0; row < m_model->rowCount(); ++row) {
        const FigureRow& figures = m_model->rows()[static_cast<std::size_t>(row)];
        if (figures.heading && columns.size() > 1) {
            setSpan(row, 0, 1, static_cast<int>(columns.size()));
        }
    }
    // The name gives way where the column is narrow.
    horizontalHeader()->setSectionResizeMode(0, QHeaderView::Stretch);
    updateGeometry();
}

int FigureTable::wholeHeight() const
{
    constexpr int frame = 2;
    const bool isWide = horizontalHeader()->length() > viewport()->width();
    const int bar = isWide ? horizontalScrollBar()->sizeHint().height() : 0;
    return horizontalHeader()->sizeHint().height() + verticalHeader()->length() + bar + frame;
}

QSize FigureTable::sizeHint() const { return {320, wholeHeight()}; }

QSize FigureTable::minimumSizeHint() const { return {160, wholeHeight()}; }

void FigureTable::keyPressEvent(QKeyEvent* event)
{
    if (event->matches(QKeySequence::Copy)) {
        copy();
        return;
    }
    QTableView::keyPressEvent(event);
}

void FigureTable::wheelEvent(QWheelEvent* event)
{
    event->ignore(); // the column scrolls, not the table
}

void FigureTable::copy() const
{
    QStringList lines;
    QStringList heads;
    for (int column = 0; column < m_model->columnCount(); ++column) {
        heads << m_model->headerData(column, Qt::Horizontal, Qt::DisplayRole).toString();
    }
    lines << heads.join(QLatin1Char('\t'));
    for (const FigureRow& row : m_model->rows()) {
        lines << row.cells.join(QLatin1Char('\t'));
    }
    QApplication::clipboard()->setText(lines.join(QLatin1Char('\n')));
}

} // namespace twinlamp::ui
