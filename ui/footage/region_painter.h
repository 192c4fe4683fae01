// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/footage/region_kind.h"

#include <QPolygonF>

#include <cstddef>
#include <optional>

class QPainter;
class QRectF;
class QPointF;

namespace twinlamp::ui {

struct RegionLook
{
    RegionKind kind = RegionKind::Reference;
    bool picked = false;
    bool handles = false;
};

/// Draws a region over footage: the role's colour on a dark casing that keeps 3:1 on any picture,
/// its name and mark beside it, inside `view`.
void drawRegion(QPainter& painter, const QRectF& region, const QRectF& view, RegionLook look);

/// The same for a panel with four corners. The one that is its own top left has a coloured handle.
/// @param corners  in the view
/// @param pickedCorner  that keys move, drawn larger
void drawTurnedRegion(QPainter& painter, const QPolygonF& corners, const QRectF& view,
    RegionLook look, std::optional<std::size_t> pickedCorner);

/// The mark of a role: round for the reference lamp, square for the goggle lamp, an outlined
/// rectangle for the panel.
void drawMark(
    QPainter& painter, RegionKind kind, QPointF centre, double size, const QColor& colour);

} // namespace twinlamp::ui
