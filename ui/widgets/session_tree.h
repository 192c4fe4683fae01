// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTreeView>

namespace twinlamp::ui {

/// The tree of the session panel: its fold arrows stand at the name of a row, however tall it is.
class SessionTree : public QTreeView
{
    Q_OBJECT

public:
    using QTreeView::QTreeView;

    /// Of all rows that are folded out.
    [[nodiscard]] int contentHeight() const;

protected:
    void drawBranches(
        QPainter* painter, const QRect& rect, const QModelIndex& index) const override;
};

} // namespace twinlamp::ui
