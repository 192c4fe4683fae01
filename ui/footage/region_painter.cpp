// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/region_painter.h"

#include "ui/footage/region_geometry.h"
#include "ui/theme/theme.h"

#include <QPainter>

#include <algorithm>

namespace twinlamp::ui {

namespace {

QColor casing()
{
    QColor colour(Qt::black);
    colour.setAlphaF(0.65F);
    return colour;
}

template<typename Draw> void drawOutline(QPainter& painter, RegionLook look, const Draw& draw)
{
    const double width = look.picked ? 2.5 : 1.5;
    const Qt::PenStyle style = look.kind == RegionKind::Panel ? Qt::DotLine : Qt::SolidLine;
    painter.setBrush(Qt::NoBrush);
    painter.setPen(QPen(casing(), width + 2.0));
    draw();
    painter.setPen(QPen(footageColours()[regionColour(look.kind)], width, style));
    draw();
}

void drawName(QPainter& painter, const QRectF& region, const QRectF& view, RegionLook look)
{
    painter.setFont(typeFont(TypeSize::Small, look.picked));
    const QString name = regionName(look.kind);
    constexpr double markSize = 8.0;
    constexpr double padding = 4.0;
    const double height = painter.fontMetrics().height() + 2.0;
    const double width = painter.fontMetrics().horizontalAdvance(name) + markSize + 3 * padding;
    // Above the region where there is room, else below, else inside it.
    double y = region.top() - height - 3.0;
    if (y < view.top()) {
        y = region.bottom() + 3.0 + height <= view.bottom() ? region.bottom() + 3.0
                                                            : region.top() + 3.0;
    }
    const double x
        = std::clamp(region.left(), view.left(), std::max(view.left(), view.right() - width));
    const QRectF tag(x, y, width, height);
    painter.setPen(Qt::NoPen);
    painter.setBrush(casing());
    painter.drawRoundedRect(tag, 3, 3);
    drawMark(painter, look.kind, {tag.left() + padding + markSize / 2, tag.center().y()}, markSize,
        footageColours()[regionColour(look.kind)]);
    painter.setPen(Qt::white);
    painter.drawText(tag.adjusted(markSize + 2 * padding, 0, 0, 0), Qt::AlignVCenter, name);
}

} // namespace

void drawTurnedRegion(QPainter& painter, const QPolygonF& corners, const QRectF& view,
    RegionLook look, std::optional<std::size_t> pickedCorner)
{
    drawOutline(painter, look, [&] { painter.drawPolygon(corners); });
    drawName(painter, corners.boundingRect(), view, look);
    if (!look.handles) {
        return;
    }
    const QColor colour = footageColours()[regionColour(look.kind)];
    for (int i = 0; i < corners.size(); ++i) {
        const bool isPicked = pickedCorner == static_cast<std::size_t>(i);
        const double half = isPicked ? 5.5 : 3.5;
        painter.setPen(isPicked ? QPen(colour, 2.0) : QPen(casing(), 1.0));
        painter.setBrush(i == 0 ? colour : QColor(Qt::white));
        const QPointF at = corners.at(i);
        painter.drawRect(QRectF(at.x() - half, at.y() - half, 2.0 * half, 2.0 * half));
    }
}

void drawMark(QPainter& painter, RegionKind kind, QPointF centre, double size, const QColor& colour)
{
    painter.setPen(QPen(colour, 1.5));
    painter.setBrush(colour);
    const double half = size / 2.0;
    const QRectF box(centre.x() - half, centre.y() - half, size, size);
    switch (kind) {
    case RegionKind::Reference:
        painter.drawEllipse(box);
        break;
    case RegionKind::Goggle:
        painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5));
        break;
    case RegionKind::Panel:
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(colour, 1.5, Qt::DotLine));
        painter.drawRect(box.adjusted(-1, 1, 1, -1));
        break;
    }
}

void drawRegion(QPainter& painter, const QRectF& region, const QRectF& view, RegionLook look)
{
    drawOutline(painter, look, [&] { painter.drawRect(region); });
    drawName(painter, region, view, look);
    if (!look.handles) {
        return;
    }
    painter.setPen(QPen(casing(), 1.0));
    painter.setBrush(Qt::white);
    for (const auto& [at, grip] : handlesOf(region)) {
        painter.drawRect(QRectF(at.x() - 3.5, at.y() - 3.5, 7, 7));
    }
}

} // namespace twinlamp::ui
