// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/footage/region_kind.h"

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

/// The mark of a role: round for the reference lamp, square for the goggle lamp, an outlined
/// rectangle for the panel.
void drawMark(
    QPainter& painter, RegionKind kind, QPointF centre, double size, const QColor& colour);

} // namespace twinlamp::ui
