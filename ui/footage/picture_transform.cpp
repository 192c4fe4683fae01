// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/picture_transform.h"

#include <algorithm>

namespace twinlamp::ui {

namespace {

constexpr double largestScale = 32.0; ///< one picture pixel is then plain to see
constexpr double smallestShareOfFit = 0.5;

double keptInside(double origin, double pictureLength, double viewLength)
{
    // A picture smaller than the view is centred; a larger one leaves no empty edge.
    if (pictureLength <= viewLength) {
        return (viewLength - pictureLength) / 2.0;
    }
    return std::clamp(origin, viewLength - pictureLength, 0.0);
}

} // namespace

void PictureTransform::setPicture(QSize sizePx)
{
    const QSizeF size(std::max(1, sizePx.width()), std::max(1, sizePx.height()));
    if (size != m_picture) {
        m_picture = size;
        fit();
    }
}

void PictureTransform::setView(QSizeF size)
{
    m_view = {std::max(1.0, size.width()), std::max(1.0, size.height())};
    if (m_fitted) {
        fit();
    } else {
        keepInView();
    }
}

void PictureTransform::fit()
{
    m_fitted = true;
    m_scale = std::min(m_view.width() / m_picture.width(), m_view.height() / m_picture.height());
    keepInView();
}

void PictureTransform::zoomAt(QPointF at, double factor)
{
    const double fitted
        = std::min(m_view.width() / m_picture.width(), m_view.height() / m_picture.height());
    const double smallest = fitted * smallestShareOfFit;
    const QPointF under = toPicture(at);
    m_scale = std::clamp(m_scale * factor, smallest, std::max(smallest, largestScale));
    m_origin = at - under * m_scale;
    m_fitted = false;
    keepInView();
}

void PictureTransform::panBy(QPointF viewPixels)
{
    m_origin += viewPixels;
    m_fitted = false;
    keepInView();
}

void PictureTransform::reveal(RectPx rect)
{
    const QRectF target = toView(rect);
    const QRectF view(QPointF(0, 0), m_view);
    if (!view.contains(target)) {
        panBy(view.center() - target.center());
    }
}

QPointF PictureTransform::toView(QPointF picture) const { return m_origin + picture * m_scale; }

QPointF PictureTransform::toPicture(QPointF view) const { return (view - m_origin) / m_scale; }

QRectF PictureTransform::toView(RectPx rect) const
{
    return {toView(QPointF(rect.x, rect.y)), QSizeF(rect.width * m_scale, rect.height * m_scale)};
}

QPolygonF PictureTransform::toView(const QuadPx& corners) const
{
    QPolygonF polygon;
    for (const CornerPx corner : corners.corners) {
        polygon << toView(QPointF(corner.x, corner.y));
    }
    return polygon;
}

QRectF PictureTransform::pictureInView() const { return {m_origin, m_picture * m_scale}; }

void PictureTransform::keepInView()
{
    m_origin = {keptInside(m_origin.x(), m_picture.width() * m_scale, m_view.width()),
        keptInside(m_origin.y(), m_picture.height() * m_scale, m_view.height())};
}

} // namespace twinlamp::ui
