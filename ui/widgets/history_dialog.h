// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/history.h"

#include <QDialog>

#include <vector>

class QLabel;
class QLineEdit;
class QSortFilterProxyModel;
class QStandardItemModel;
class QTreeView;

namespace twinlamp::ui {

class SessionDocument;

/// Every change of the session, the latest first: when, by whom, what, and below it each value from
/// what it was to what it became. Follows the session while it is open.
class HistoryDialog : public QDialog
{
    Q_OBJECT

public:
    explicit HistoryDialog(SessionDocument& document, QWidget* parent = nullptr);
    ~HistoryDialog() override;

    /// Entries that are seen, after the filter.
    [[nodiscard]] int shownEntries() const;

    /// Shows only entries and values that hold the text.
    void setFilter(const QString& text);

private:
    void build();
    void fill();
    void copy() const;

    SessionDocument& m_document;
    std::vector<session::HistoryEntry> m_entries;
    QStandardItemModel* m_model = nullptr;
    QSortFilterProxyModel* m_filtered = nullptr;
    QTreeView* m_tree = nullptr;
    QLineEdit* m_filter = nullptr;
    QLabel* m_count = nullptr;
};

} // namespace twinlamp::ui
