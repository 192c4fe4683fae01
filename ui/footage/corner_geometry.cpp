// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/corner_geometry.h"

#include "ui/footage/region_geometry.h"

#include <QLineF>

#include <algorithm>

namespace twinlamp::ui {

std::optional<CornerGrip> cornerGripAt(const QPolygonF& inView, QPointF point, double reach)
{
    std::optional<CornerGrip> grip;
    double nearest = reach;
    for (std::size_t i = 0; i < cornerCount; ++i) {
        const double far = QLineF(inView.at(static_cast<int>(i)), point).length();
        if (far <= nearest) {
            nearest = far;
            grip = CornerGrip {i};
        }
    }
    if (!grip && inView.containsPoint(point, Qt::OddEvenFill)) {
        grip = CornerGrip {};
    }
    return grip;
}

QuadPx pulled(const QuadPx& start, CornerGrip grip, QPoint by, QSize picture)
{
    QuadPx quad = start;
    if (!grip.corner) {
        const RectPx around = boundingRect(start);
        const RectPx moved = pulled(around, wholeRegion, by, picture);
        for (CornerPx& corner : quad.corners) {
            corner = {corner.x + moved.x - around.x, corner.y + moved.y - around.y};
        }
        return quad;
    }
    // The way is gone as far as it is free: a hand that pulls too far loses nothing.
    constexpr int steps = 64;
    const CornerPx from = start.corners.at(*grip.corner);
    for (int left = steps; left > 0; --left) {
        quad.corners.at(*grip.corner)
            = {std::clamp(from.x + by.x() * left / steps, 0, picture.width()),
                std::clamp(from.y + by.y() * left / steps, 0, picture.height())};
        if (!quadProblem(quad)) {
            return quad;
        }
    }
    return start;
}

bool fits(const QuadPx& corners, QSize picture)
{
    const RectPx around = boundingRect(corners);
    return !quadProblem(corners)
        && intersection(around, {0, 0, picture.width(), picture.height()}) == around;
}

} // namespace twinlamp::ui
