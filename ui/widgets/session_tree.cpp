// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/session_tree.h"

#include "ui/theme/theme.h"

#include <QPainter>

namespace twinlamp::ui {

int SessionTree::contentHeight() const
{
    int height = 0;
    for (QModelIndex index = model()->index(0, 0); index.isValid(); index = indexBelow(index)) {
        height += rowHeight(index);
    }
    return height;
}

void SessionTree::drawBranches(QPainter* painter, const QRect& rect, const QModelIndex& index) const
{
    if (selectionModel()->isSelected(index)) {
        painter->fillRect(rect, colours()[ColourRole::Selection]);
    }
    if (!model()->hasChildren(index)) {
        return;
    }
    const double line = QFontMetrics(typeFont(TypeSize::Base)).height();
    const bool tall = rect.height() > 2 * line;
    const QPointF centre(rect.right() - indentation() / 2.0,
        tall ? rect.top() + 8.0 + line / 2.0 : rect.center().y() + 0.5);
    painter->save();
    painter->setRenderHint(QPainter::Antialiasing);
    painter->setPen(QPen(colours()[ColourRole::QuietText], 1.5));
    constexpr double reach = 3.0;
    if (isExpanded(index)) {
        painter->drawPolyline(QPolygonF({centre + QPointF(-reach, -reach / 2),
            centre + QPointF(0, reach / 2), centre + QPointF(reach, -reach / 2)}));
    } else {
        painter->drawPolyline(QPolygonF({centre + QPointF(-reach / 2, -reach),
            centre + QPointF(reach / 2, 0), centre + QPointF(-reach / 2, reach)}));
    }
    painter->restore();
}

} // namespace twinlamp::ui
