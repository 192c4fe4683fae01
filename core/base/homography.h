// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/quad_px.h"

#include <array>

namespace twinlamp {

/// A point of the plane: of a picture in pixels, where pixel (0, 0) covers 0 to 1, or of a panel in
/// shares of its width and height.
struct PlanePoint
{
    double x = 0.0;
    double y = 0.0;
};

/// How a flat panel appears in a camera without distortion: the unit square, which is the panel
/// with (0, 0) at its own top left, maps to four corners.
///
/// Source: Heckbert, "Fundamentals of Texture Mapping and Image Warping", 1989, square to
/// quadrilateral (from memory); inverse by the adjugate. Tests: tests/core/base/homography_test.cpp
class Homography
{
public:
    /// @pre the corners are convex and go round in the order of (0, 0), (1, 0), (1, 1), (0, 1)
    explicit Homography(const std::array<PlanePoint, cornerCount>& corners);
    explicit Homography(const QuadPx& quad);

    [[nodiscard]] PlanePoint toPicture(PlanePoint panel) const;
    [[nodiscard]] PlanePoint toPanel(PlanePoint picture) const;

    /// Change of the panel's coordinates over one pixel of the picture, at a point of the picture.
    struct Gradient
    {
        PlanePoint perColumn; ///< a pixel to the right
        PlanePoint perRow; ///< a pixel down
    };

    [[nodiscard]] Gradient panelPerPx(PlanePoint picture) const;

private:
    using Matrix = std::array<double, 9>; ///< row by row
    static PlanePoint apply(const Matrix& m, PlanePoint at);

    Matrix m_toPicture {};
    Matrix m_toPanel {};
};

} // namespace twinlamp
