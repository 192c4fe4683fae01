// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/history_dialog.h"

#include "core/report/history_writer.h"
#include "ui/edits/session_document.h"
#include "ui/widgets/figures.h"
#include "ui/widgets/marking.h"

#include <QApplication>
#include <QClipboard>
#include <QDateTime>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QLocale>
#include <QPushButton>
#include <QScreen>
#include <QSortFilterProxyModel>
#include <QStandardItemModel>
#include <QTreeView>
#include <QVBoxLayout>

#include <algorithm>

namespace twinlamp::ui {

namespace {

constexpr QSize usualSize {900, 560};

QString text(const std::string& words) { return QString::fromStdString(words); }

/// Notes may hold several lines, a row of the list holds one.
QString oneLine(QString words)
{
    words.replace(QLatin1Char('\n'), QLatin1Char(' '));
    return words;
}

QString valueText(const std::optional<std::string>& value)
{
    return value ? oneLine(text(*value)) : HistoryDialog::tr("nothing");
}

/// In the tester's own time zone; the file keeps UTC.
QString timeText(const std::string& at)
{
    const QDateTime time = QDateTime::fromString(text(at), Qt::ISODateWithMs);
    return time.isValid() ? time.toLocalTime().toString(QStringLiteral("yyyy-MM-dd  HH:mm:ss"))
                          : text(at);
}

QStandardItem* cell(const QString& words)
{
    auto* item = new QStandardItem(words);
    item->setEditable(false);
    item->setToolTip(words);
    return item;
}

QList<QStandardItem*> entryRow(const session::HistoryEntry& entry)
{
    const QString what = oneLine(text(english(entry.label)));
    return {cell(timeText(entry.at)),
        cell(entry.takenBack ? HistoryDialog::tr("undone: %1").arg(what) : what),
        cell(text(entry.who)), cell(text(entry.programVersion))};
}

QList<QStandardItem*> changeRow(const session::FieldChange& change)
{
    return {cell(QString()),
        cell(HistoryDialog::tr("%1, %2: %3 \u2192 %4")
                 .arg(text(change.entry), text(change.field), valueText(change.from),
                     valueText(change.to)))};
}

} // namespace

HistoryDialog::HistoryDialog(SessionDocument& document, QWidget* parent)
    : QDialog(parent)
    , m_document(document)
    , m_model(new QStandardItemModel(this))
    , m_filtered(new QSortFilterProxyModel(this))
{
    setWindowTitle(tr("What was changed"));
    setSizeGripEnabled(true);
    build();
    resize(usualSize.boundedTo(screen()->availableSize()));
    connect(&m_document, &SessionDocument::changed, this, &HistoryDialog::fill);
    fill();
}

HistoryDialog::~HistoryDialog() = default;

void HistoryDialog::build()
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(12, 12, 12, 12);
    column->setSpacing(8);
    auto* why = new QLabel(
        tr("Every change of this session, the latest first. Nothing is taken out of this list: a "
           "step that was undone stands in it twice."));
    why->setWordWrap(true);
    m_filter = new QLineEdit;
    m_filter->setPlaceholderText(tr("Show only what holds these words"));
    m_filter->setAccessibleName(tr("Words that a change must hold"));
    m_filter->setClearButtonEnabled(true);
    m_filtered->setSourceModel(m_model);
    m_filtered->setFilterCaseSensitivity(Qt::CaseInsensitive);
    m_filtered->setFilterKeyColumn(-1);
    m_filtered->setRecursiveFilteringEnabled(true);
    m_filtered->setAutoAcceptChildRows(true);
    m_tree = new QTreeView;
    m_tree->setModel(m_filtered);
    m_tree->setAccessibleName(tr("Changes of the session"));
    m_tree->setUniformRowHeights(true);
    m_tree->setAllColumnsShowFocus(true);
    column->addWidget(why);
    column->addWidget(m_filter);
    column->addWidget(m_tree, 1);
    auto* row = new QHBoxLayout;
    m_count = quietLabel({});
    m_count->setWordWrap(false);
    auto* copyAll = new QPushButton(tr("Copy as text"));
    copyAll->setAutoDefault(false);
    copyAll->setToolTip(tr("Put all changes on the clipboard, a line for each, times in UTC"));
    auto* close = new QPushButton(tr("Close"));
    row->addWidget(m_count, 1);
    row->addWidget(copyAll);
    row->addWidget(close);
    column->addLayout(row);
    connect(m_filter, &QLineEdit::textChanged, this, &HistoryDialog::setFilter);
    connect(copyAll, &QPushButton::clicked, this, &HistoryDialog::copy);
    connect(close, &QPushButton::clicked, this, &QDialog::close);
}

void HistoryDialog::fill()
{
    auto entries = m_document.changesSoFar();
    m_model->clear();
    m_model->setHorizontalHeaderLabels({tr("when"), tr("what"), tr("who"), tr("version")});
    m_entries = entries ? std::move(*entries) : std::vector<session::HistoryEntry> {};
    std::for_each(m_entries.rbegin(), m_entries.rend(), [this](const auto& entry) {
        const QList<QStandardItem*> row = entryRow(entry);
        for (const session::FieldChange& change : entry.changes) {
            row.front()->appendRow(changeRow(change));
        }
        m_model->appendRow(row);
    });
    m_tree->header()->setStretchLastSection(false);
    m_tree->header()->setSectionResizeMode(QHeaderView::ResizeToContents);
    m_tree->header()->setSectionResizeMode(1, QHeaderView::Stretch);
    setFilter(m_filter->text());
    if (!entries) {
        m_count->setText(text(entries.error().detail));
    }
}

int HistoryDialog::shownEntries() const { return m_filtered->rowCount(); }

void HistoryDialog::setFilter(const QString& words)
{
    if (m_filter->text() != words) {
        m_filter->setText(words);
        return;
    }
    m_filtered->setFilterFixedString(words);
    if (m_entries.empty()) {
        m_count->setText(tr("Nothing was changed since this session keeps a history."));
    } else {
        m_count->setText(
            tr("%1 of %2 changes").arg(shownEntries()).arg(static_cast<int>(m_entries.size())));
    }
    if (!words.isEmpty()) {
        m_tree->expandAll();
    }
}

void HistoryDialog::copy() const
{
    QApplication::clipboard()->setText(text(report::historyText(m_entries)));
}

} // namespace twinlamp::ui
