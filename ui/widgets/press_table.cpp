// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/press_table.h"

#include "ui/models/press_filter_model.h"
#include "ui/theme/theme.h"
#include "ui/widgets/marking.h"
#include "ui/widgets/press_delegate.h"

#include <QComboBox>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QMenu>
#include <QTableView>
#include <QToolButton>

#include <algorithm>

namespace twinlamp::ui {

PressTable::PressTable(QWidget* parent)
    : QWidget(parent)
    , m_model(new PressTableModel(this))
    , m_shown(new PressFilterModel(this))
    , m_table(new QTableView)
    , m_count(new QLabel)
    , m_filter(new QComboBox)
    , m_explain(new QToolButton)
{
    m_shown->setSourceModel(m_model);
    build();
    connect(m_model, &PressTableModel::acceptAsked, this, &PressTable::acceptAsked);
    connect(m_model, &PressTableModel::reasonTyped, this, &PressTable::reasonTyped);
    connect(m_table->selectionModel(), &QItemSelectionModel::currentRowChanged, this,
        [this](const QModelIndex& current) {
            const QModelIndex source = m_shown->mapToSource(current);
            if (source.isValid() && m_table->hasFocus()) {
                Q_EMIT pressPicked(m_model->rows()[static_cast<std::size_t>(source.row())].address);
            }
        });
    connect(m_table, &QTableView::clicked, this, [this](const QModelIndex& index) {
        const QModelIndex source = m_shown->mapToSource(index);
        Q_EMIT pressPicked(m_model->rows()[static_cast<std::size_t>(source.row())].address);
    });
}

void PressTable::buildHead(QVBoxLayout* column)
{
    auto* head = new QHBoxLayout;
    head->setSpacing(12);
    head->addWidget(headingLabel(tr("Presses")));
    m_count->setFont(typeFont(TypeSize::Small));
    m_count->setProperty("quiet", true);
    head->addWidget(m_count);
    head->addStretch();
    m_filter->addItem(tr("all edges"), static_cast<int>(PressFilter::All));
    m_filter->addItem(tr("on edges"), static_cast<int>(PressFilter::OnEdges));
    m_filter->addItem(tr("off edges"), static_cast<int>(PressFilter::OffEdges));
    m_filter->addItem(tr("with doubts"), static_cast<int>(PressFilter::Doubted));
    m_filter->addItem(tr("set aside"), static_cast<int>(PressFilter::SetAside));
    m_filter->setAccessibleName(tr("Presses to show"));
    connect(m_filter, &QComboBox::currentIndexChanged, this, [this] {
        m_shown->setFilter(static_cast<PressFilter>(m_filter->currentData().toInt()));
        updateCount();
    });
    m_explain->setText(tr("Explain"));
    m_explain->setToolTip(tr("Show what the press in hand rests on: frames, fitted model, "
                             "uncertainty (Ctrl+E)"));
    connect(m_explain, &QToolButton::clicked, this, &PressTable::explainAsked);
    head->addWidget(m_explain);
    head->addWidget(m_filter);
    column->addLayout(head);
}

void PressTable::build()
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(12, 4, 8, 0);
    column->setSpacing(2);
    buildHead(column);
    m_table->setModel(m_shown);
    m_table->setItemDelegate(new PressDelegate(m_table));
    m_table->setSelectionBehavior(QAbstractItemView::SelectRows);
    m_table->setSelectionMode(QAbstractItemView::SingleSelection);
    m_table->setShowGrid(false);
    m_table->setWordWrap(false);
    m_table->setTabKeyNavigation(false);
    m_table->setAccessibleName(tr("Presses"));
    m_table->verticalHeader()->hide();
    m_table->verticalHeader()->setDefaultSectionSize(fontMetrics().height() + 8);
    m_table->horizontalHeader()->setHighlightSections(false);
    m_table->horizontalHeader()->setStretchLastSection(true);
    m_table->horizontalHeader()->setSortIndicatorClearable(true);
    m_table->setSortingEnabled(true);
    m_table->sortByColumn(-1, Qt::AscendingOrder);
    const int digit = fontMetrics().averageCharWidth();
    const std::array<int, PressTableModel::ColumnCount> widths {6, 24, 8, 16, 18, 22, 16, 50, 30};
    for (int i = 0; i < PressTableModel::ColumnCount; ++i) {
        m_table->setColumnWidth(i,
            std::max(m_table->horizontalHeader()->sectionSizeHint(i),
                widths.at(static_cast<std::size_t>(i)) * digit));
    }
    m_table->setContextMenuPolicy(Qt::CustomContextMenu);
    connect(m_table, &QTableView::customContextMenuRequested, this, &PressTable::showMenu);
    column->addWidget(m_table);
}

void PressTable::showMenu(const QPoint& at)
{
    const QModelIndex index = m_table->indexAt(at);
    if (!index.isValid()) {
        return;
    }
    const session::PressAddress press
        = m_model->rows()[static_cast<std::size_t>(m_shown->mapToSource(index).row())].address;
    auto* menu = new QMenu(this);
    menu->setAttribute(Qt::WA_DeleteOnClose);
    menu->addAction(tr("Explain this press"), this, [this, press] {
        Q_EMIT pressPicked(press);
        Q_EMIT explainAsked();
    });
    menu->popup(m_table->viewport()->mapToGlobal(at));
}

void PressTable::setRows(std::vector<PressRow> rows, bool severalClips)
{
    m_model->setRows(std::move(rows));
    m_table->setColumnHidden(PressTableModel::Clip, !severalClips);
    updateCount();
}

void PressTable::updateCount()
{
    m_explain->setEnabled(m_model->rowCount() > 0);
    const auto& rows = m_model->rows();
    const auto on = std::ranges::count_if(
        rows, [](const PressRow& row) { return row.press.press.edge == Edge::On; });
    const auto aside = std::ranges::count_if(
        rows, [](const PressRow& row) { return !row.press.press.accepted; });
    QString text = tr("%1 on, %2 off").arg(on).arg(static_cast<std::ptrdiff_t>(rows.size()) - on);
    if (aside > 0) {
        text += tr(", %1 set aside").arg(aside);
    }
    if (m_shown->rowCount() != m_model->rowCount()) {
        text += tr("; %1 shown").arg(m_shown->rowCount());
    }
    m_count->setText(rows.empty() ? tr("none yet") : text);
}

void PressTable::pick(std::optional<session::PressAddress> press)
{
    const auto row = press ? m_model->rowOf(*press) : std::nullopt;
    if (!row) {
        m_table->clearSelection();
        return;
    }
    const QModelIndex index = m_shown->mapFromSource(m_model->index(*row, 0));
    if (index.isValid() && m_table->currentIndex().row() != index.row()) {
        m_table->setCurrentIndex(index);
        m_table->scrollTo(index);
    } else if (index.isValid()) {
        m_table->selectRow(index.row());
    }
}

} // namespace twinlamp::ui
