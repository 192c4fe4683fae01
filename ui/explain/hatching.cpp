// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/explain/hatching.h"

#include <QPainter>

#include <algorithm>

namespace twinlamp::ui {

std::vector<QLineF> hatching(QRectF rect, double spacing)
{
    std::vector<QLineF> lines;
    const double reach = rect.width() + rect.height();
    // Along each line x + y is the same, counted from the top left corner.
    for (double sum = spacing; sum < reach; sum += spacing) {
        const double startX = std::max(0.0, sum - rect.height());
        const double endX = std::min(sum, rect.width());
        lines.emplace_back(rect.left() + startX, rect.top() + sum - startX, rect.left() + endX,
            rect.top() + sum - endX);
    }
    return lines;
}

void drawHatching(QPainter& painter, QRectF rect, const QColor& colour)
{
    constexpr double spacing = 6.0;
    painter.setPen(QPen(colour, 1.0));
    for (const QLineF& line : hatching(rect, spacing)) {
        painter.drawLine(line);
    }
}

} // namespace twinlamp::ui
