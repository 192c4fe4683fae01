// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/corner_grid.h"

#include "core/base/contracts.h"

#include <algorithm>
#include <array>

namespace twinlamp::trace {

namespace {

using Corners = std::array<PlanePoint, cornerCount>;

double lengthOf(PlanePoint a, PlanePoint b) { return std::hypot(b.x - a.x, b.y - a.y); }

/// Where a cell lies on the panel, and its corners in the picture.
struct Cell
{
    PlanePoint from;
    PlanePoint to;
    Corners seen;

    Cell(const Homography& map, int columns, int rows, int column, int row)
        : from {static_cast<double>(column) / columns, static_cast<double>(row) / rows}
        , to {static_cast<double>(column + 1) / columns, static_cast<double>(row + 1) / rows}
        , seen {map.toPicture(from), map.toPicture({to.x, from.y}), map.toPicture(to),
              map.toPicture({from.x, to.y})}
    {
    }
};

} // namespace

CornerGrid::CornerGrid(const QuadPx& corners, int columns, int rows, int samplesPerCell)
{
    TL_EXPECTS(!quadProblem(corners) && columns >= 1 && rows >= 1 && samplesPerCell >= 1);
    const Homography map(corners);
    m_first.push_back(0);
    for (int row = 0; row < rows; ++row) {
        for (int column = 0; column < columns; ++column) {
            const Cell cell(map, columns, rows, column, row);
            const auto& [p, q, r, s] = cell.seen;
            const double width = 0.5 * (lengthOf(p, q) + lengthOf(s, r));
            const double height = 0.5 * (lengthOf(p, s) + lengthOf(q, r));
            // A point for each pixel, or as many fewer as there are too many pixels.
            const double apart = std::sqrt(std::max(1.0, width * height / samplesPerCell));
            const int across = std::max(1, static_cast<int>(std::lround(width / apart)));
            const int down = std::max(1, static_cast<int>(std::lround(height / apart)));
            for (int i = 0; i < across * down; ++i) {
                const double u = (i % across + 0.5) / across;
                const double v = (i / across + 0.5) / down; // NOLINT(bugprone-integer-division)
                m_points.push_back(map.toPicture({cell.from.x + u * (cell.to.x - cell.from.x),
                    cell.from.y + v * (cell.to.y - cell.from.y)}));
            }
            m_first.push_back(m_points.size());
        }
    }
}

RectPx cellBetweenCorners(const QuadPx& corners, int columns, int rows, int column, int row)
{
    const Cell cell(Homography(corners), columns, rows, column, row);
    const auto [left, right] = std::ranges::minmax(cell.seen, {}, &PlanePoint::x);
    const auto [top, bottom] = std::ranges::minmax(cell.seen, {}, &PlanePoint::y);
    // A millionth: corners that were met to rounding are whole.
    constexpr double rounding = 1e-6;
    const int x = static_cast<int>(std::floor(left.x + rounding));
    const int y = static_cast<int>(std::floor(top.y + rounding));
    return {x, y, static_cast<int>(std::ceil(right.x - rounding)) - x,
        static_cast<int>(std::ceil(bottom.y - rounding)) - y};
}

} // namespace twinlamp::trace
