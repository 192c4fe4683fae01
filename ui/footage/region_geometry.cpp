// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/region_geometry.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

namespace {

struct Stretch
{
    int first = 0;
    int last = 0; ///< not part of it
};

Stretch pulledStretch(Stretch start, bool holdsFirst, bool holdsLast, int by, int limit)
{
    if (holdsFirst && holdsLast) {
        const int moved = std::clamp(by, -start.first, std::max(-start.first, limit - start.last));
        return {start.first + moved, start.last + moved};
    }
    if (holdsFirst) {
        start.first = std::clamp(start.first + by, 0, start.last - smallestRegionPx);
    }
    if (holdsLast) {
        start.last = std::clamp(start.last + by, start.first + smallestRegionPx,
            std::max(limit, start.first + smallestRegionPx));
    }
    return start;
}

} // namespace

std::array<std::pair<QPointF, Grip>, 8> handlesOf(QRectF r)
{
    const QPointF centre = r.center();
    return {{
        {r.topLeft(), {true, true, false, false}},
        {{centre.x(), r.top()}, {false, true, false, false}},
        {r.topRight(), {false, true, true, false}},
        {{r.right(), centre.y()}, {false, false, true, false}},
        {r.bottomRight(), {false, false, true, true}},
        {{centre.x(), r.bottom()}, {false, false, false, true}},
        {r.bottomLeft(), {true, false, false, true}},
        {{r.left(), centre.y()}, {true, false, false, false}},
    }};
}

Grip gripAt(QRectF inView, QPointF point, double reach)
{
    const auto handles = handlesOf(inView);
    const auto near = [&](const auto& handle) {
        return std::hypot(handle.first.x() - point.x(), handle.first.y() - point.y());
    };
    const auto nearest = std::ranges::min_element(handles, {}, near);
    // On a small region the middle must stay free for moving, however large the reach.
    const double allowed
        = std::min(reach, std::max(3.0, std::min(inView.width(), inView.height()) / 3.0));
    if (near(*nearest) <= allowed) {
        return nearest->second;
    }
    return inView.contains(point) ? wholeRegion : Grip {};
}

RectPx pulled(RectPx start, Grip grip, QPoint by, QSize picture)
{
    const Stretch across
        = pulledStretch({start.x, start.right()}, grip.left, grip.right, by.x(), picture.width());
    const Stretch down
        = pulledStretch({start.y, start.bottom()}, grip.top, grip.bottom, by.y(), picture.height());
    return {across.first, down.first, across.last - across.first, down.last - down.first};
}

RectPx fitted(RectPx region, QSize picture)
{
    RectPx result = region;
    result.width
        = std::clamp(region.width, smallestRegionPx, std::max(smallestRegionPx, picture.width()));
    result.height
        = std::clamp(region.height, smallestRegionPx, std::max(smallestRegionPx, picture.height()));
    result.x = std::clamp(region.x, 0, std::max(0, picture.width() - result.width));
    result.y = std::clamp(region.y, 0, std::max(0, picture.height() - result.height));
    return result;
}

} // namespace twinlamp::ui
