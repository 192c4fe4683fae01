// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"

#include <QPoint>
#include <QPointF>
#include <QRectF>
#include <QSize>

#include <array>

namespace twinlamp::ui {

/// Which edges of a region a drag holds; all four together move it.
struct Grip
{
    bool left = false;
    bool top = false;
    bool right = false;
    bool bottom = false;
    bool operator==(const Grip&) const = default;

    [[nodiscard]] bool holds() const { return left || top || right || bottom; }

    [[nodiscard]] bool moves() const { return left && top && right && bottom; }
};

inline constexpr Grip wholeRegion {true, true, true, true};

/// Smallest width and height of a region: its mean must still be a mean.
inline constexpr int smallestRegionPx = 2;

/// Eight handles around a region, clockwise from the top left corner, and the grips they give.
[[nodiscard]] std::array<std::pair<QPointF, Grip>, 8> handlesOf(QRectF inView);

/// Grip under a point of the view: a handle within `reach` first, then the inside, else none.
[[nodiscard]] Grip gripAt(QRectF inView, QPointF point, double reach);

/// The region after its grip was pulled by `by` picture pixels: stays inside the picture, keeps its
/// size when moved, never gets smaller than smallestRegionPx.
[[nodiscard]] RectPx pulled(RectPx start, Grip grip, QPoint by, QSize picture);

/// A region cut to the picture and to its smallest size.
[[nodiscard]] RectPx fitted(RectPx region, QSize picture);

} // namespace twinlamp::ui
