// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/homography.h"
#include "core/trace/shift_px.h"

#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <vector>

namespace twinlamp::trace {

/// Sample points of a grid of cells that is even on a panel seen turned or at an angle.
///
/// A sample is the pixel under its point, also where the picture has moved by a fraction of a
/// pixel: the points lie at all fractions of one, so that each crosses to its neighbour at a time
/// of its own and the cell's mean follows the shift without steps.
class CornerGrid
{
public:
    /// @param corners  in the picture that is read, see quadProblem()
    /// @param samplesPerCell  at most about this many, and not more than a cell has pixels
    CornerGrid(const QuadPx& corners, int columns, int rows, int samplesPerCell);

    /// Points of one cell, row by row of the panel. Unit: pixels, pixel (0, 0) covering 0 to 1.
    [[nodiscard]] std::span<const PlanePoint> points(std::size_t cell) const
    {
        return std::span(m_points).subspan(m_first[cell], m_first[cell + 1] - m_first[cell]);
    }

    [[nodiscard]] std::size_t cellCount() const { return m_first.size() - 1; }

    /// Mean of lightAt(x, y) over the points of each cell that lie in the picture; NaN for a cell
    /// without any.
    template<typename LightAt>
    void read(RectPx picture, ShiftPx shift, const LightAt& lightAt, std::span<float> out) const;

private:
    std::vector<PlanePoint> m_points;
    std::vector<std::size_t> m_first; ///< of each cell, and the end
};

template<typename LightAt>
void CornerGrid::read(
    RectPx picture, ShiftPx shift, const LightAt& lightAt, std::span<float> out) const
{
    for (std::size_t cell = 0; cell < cellCount(); ++cell) {
        double sum = 0.0;
        int count = 0;
        for (const PlanePoint& point : points(cell)) {
            const double x = point.x + shift.x;
            const double y = point.y + shift.y;
            if (x >= 0.0 && y >= 0.0 && x < picture.width && y < picture.height) {
                sum += static_cast<double>(lightAt(static_cast<int>(x), static_cast<int>(y)));
                ++count;
            }
        }
        out[cell]
            = count > 0 ? static_cast<float>(sum / count) : std::numeric_limits<float>::quiet_NaN();
    }
}

/// Rectangle of whole pixels around a cell of such a grid.
[[nodiscard]] RectPx cellBetweenCorners(
    const QuadPx& corners, int columns, int rows, int column, int row);

} // namespace twinlamp::trace
