// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/homography.h"

namespace twinlamp {

namespace {

std::array<PlanePoint, cornerCount> pointsOf(const QuadPx& quad)
{
    std::array<PlanePoint, cornerCount> points;
    for (std::size_t i = 0; i < cornerCount; ++i) {
        points[i]
            = {static_cast<double>(quad.corners[i].x), static_cast<double>(quad.corners[i].y)};
    }
    return points;
}

} // namespace

Homography::Homography(const std::array<PlanePoint, cornerCount>& corners)
{
    const auto& [p, q, r, s] = corners;
    const double rightX = q.x - r.x;
    const double rightY = q.y - r.y;
    const double lowerX = s.x - r.x;
    const double lowerY = s.y - r.y;
    const double overX = p.x - q.x + r.x - s.x; // 0 for a parallelogram
    const double overY = p.y - q.y + r.y - s.y;
    const double determinant = rightX * lowerY - lowerX * rightY;
    const double g = (overX * lowerY - lowerX * overY) / determinant;
    const double h = (rightX * overY - overX * rightY) / determinant;
    m_toPicture = {q.x - p.x + g * q.x, s.x - p.x + h * s.x, p.x, q.y - p.y + g * q.y,
        s.y - p.y + h * s.y, p.y, g, h, 1.0};
    const auto& m = m_toPicture;
    // The adjugate is the inverse but for a factor, which homogeneous coordinates do not feel.
    m_toPanel = {m[4] * m[8] - m[5] * m[7], m[2] * m[7] - m[1] * m[8], m[1] * m[5] - m[2] * m[4],
        m[5] * m[6] - m[3] * m[8], m[0] * m[8] - m[2] * m[6], m[2] * m[3] - m[0] * m[5],
        m[3] * m[7] - m[4] * m[6], m[1] * m[6] - m[0] * m[7], m[0] * m[4] - m[1] * m[3]};
}

Homography::Homography(const QuadPx& quad)
    : Homography(pointsOf(quad))
{
}

PlanePoint Homography::apply(const Matrix& m, PlanePoint at)
{
    const double w = m[6] * at.x + m[7] * at.y + m[8];
    return {(m[0] * at.x + m[1] * at.y + m[2]) / w, (m[3] * at.x + m[4] * at.y + m[5]) / w};
}

PlanePoint Homography::toPicture(PlanePoint panel) const { return apply(m_toPicture, panel); }

PlanePoint Homography::toPanel(PlanePoint picture) const { return apply(m_toPanel, picture); }

Homography::Gradient Homography::panelPerPx(PlanePoint picture) const
{
    const Matrix& m = m_toPanel;
    const PlanePoint at = toPanel(picture);
    const double w = m[6] * picture.x + m[7] * picture.y + m[8];
    return {{(m[0] - at.x * m[6]) / w, (m[3] - at.y * m[6]) / w},
        {(m[1] - at.x * m[7]) / w, (m[4] - at.y * m[7]) / w}};
}

} // namespace twinlamp
