// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/quad_px.h"

#include <QPointF>
#include <QPolygonF>
#include <QRectF>
#include <QSizeF>

namespace twinlamp::ui {

/// Where the upright picture lies in the view: zoom and pan as a value. View pixels are
/// device-independent.
class PictureTransform
{
public:
    void setPicture(QSize sizePx);
    void setView(QSizeF size);

    [[nodiscard]] bool isFitted() const { return m_fitted; }

    /// The whole picture, as large as the view allows; stays so when the view changes its size.
    void fit();
    /// Zooms by a factor and keeps the picture's point under `at` where it is.
    void zoomAt(QPointF at, double factor);
    void panBy(QPointF viewPixels);
    /// Moves so that the rectangle is in view, without zooming.
    void reveal(RectPx rect);

    [[nodiscard]] double scale() const { return m_scale; } ///< view pixels per picture pixel

    [[nodiscard]] QPointF toView(QPointF picture) const;
    [[nodiscard]] QPointF toPicture(QPointF view) const;
    [[nodiscard]] QRectF toView(RectPx rect) const;
    [[nodiscard]] QPolygonF toView(const QuadPx& corners) const;
    [[nodiscard]] QRectF pictureInView() const;

private:
    void keepInView();

    QSizeF m_picture {1, 1};
    QSizeF m_view {1, 1};
    double m_scale = 1.0;
    QPointF m_origin; ///< of the picture, in the view
    bool m_fitted = true;
};

} // namespace twinlamp::ui
