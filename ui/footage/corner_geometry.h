// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/quad_px.h"

#include <QPoint>
#include <QPolygonF>
#include <QSize>

#include <cstddef>
#include <optional>

namespace twinlamp::ui {

/// What a drag holds of a panel with four corners.
struct CornerGrip
{
    std::optional<std::size_t> corner; ///< else the whole outline
    bool operator==(const CornerGrip&) const = default;
};

/// Grip under a point of the view: a corner within `reach` first, then the inside, else none.
[[nodiscard]] std::optional<CornerGrip> cornerGripAt(
    const QPolygonF& inView, QPointF point, double reach);

/// The corners after a corner, or all of them, were pulled by `by` picture pixels. They stay inside
/// the picture; a corner stops short of where the outline would no longer bound a panel.
[[nodiscard]] QuadPx pulled(const QuadPx& start, CornerGrip grip, QPoint by, QSize picture);

/// Whether corners lie in the picture and bound a panel.
[[nodiscard]] bool fits(const QuadPx& corners, QSize picture);

} // namespace twinlamp::ui
