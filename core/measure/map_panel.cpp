// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/map_panel.h"

#include "core/base/homography.h"
#include "core/trace/corner_grid.h"
#include "core/trace/light_meter.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <spdlog/spdlog.h>

namespace twinlamp::measure {

namespace {

// Of a cell's change, from beside the panel. Cells are timed in bands of a dozen, and the sweep by
// a line through all bands: what is left of it there is below the camera's frame.
constexpr double mostForeign = 0.1;
// Points of a cell between corners.
constexpr int pointsPerCell = 256;
// Points of a block, each way, that tell how much of it a panel between corners covers.
constexpr int pointsAcross = 8;

/// What each cell is made of.
using CellParts = std::vector<std::vector<LightPart>>;

double sideOf(PlanePoint a, PlanePoint b) { return std::hypot(b.x - a.x, b.y - a.y); }

bool isCellBelowBlock(const PanelPlace& panel, int blockPx)
{
    double width = panel.stored.width;
    double height = panel.stored.height;
    if (panel.corners) {
        const Homography map(*panel.corners);
        const PlanePoint a = map.toPicture({0.0, 0.0});
        const PlanePoint b = map.toPicture({1.0, 0.0});
        const PlanePoint c = map.toPicture({1.0, 1.0});
        const PlanePoint d = map.toPicture({0.0, 1.0});
        width = std::min(sideOf(a, b), sideOf(d, c));
        height = std::min(sideOf(a, d), sideOf(b, c));
    }
    return width < panel.columns * blockPx || height < panel.rows * blockPx;
}

CellParts partsOfCorners(const MapBlocks& blocks, const PanelPlace& panel)
{
    const trace::CornerGrid grid(*panel.corners, panel.columns, panel.rows, pointsPerCell);
    CellParts cells;
    for (std::size_t cell = 0; cell < grid.cellCount(); ++cell) {
        std::map<std::size_t, int> counts;
        int all = 0;
        for (const PlanePoint& point : grid.points(cell)) {
            if (point.x >= 0.0 && point.y >= 0.0 && point.x < blocks.map().widthPx
                && point.y < blocks.map().heightPx) {
                ++counts[blocks.blockAt(static_cast<int>(point.x), static_cast<int>(point.y))];
                ++all;
            }
        }
        std::vector<LightPart> parts;
        for (const auto& [block, count] : counts) {
            parts.push_back({block, static_cast<double>(count) / all});
        }
        cells.push_back(std::move(parts));
    }
    return cells;
}

CellParts partsOf(const MapBlocks& blocks, const PanelPlace& panel)
{
    if (panel.corners) {
        return partsOfCorners(blocks, panel);
    }
    const trace::MeterRegion grid {panel.stored, panel.columns, panel.rows};
    CellParts cells;
    for (int row = 0; row < panel.rows; ++row) {
        for (int column = 0; column < panel.columns; ++column) {
            const RectPx cell = trace::cellOf(grid, column, row);
            std::vector<LightPart> parts;
            for (const std::size_t block : blocks.under(cell)) {
                const auto pixels = intersection(blocks.placeOf(block), cell).areaPx();
                parts.push_back(
                    {block, static_cast<double>(pixels) / static_cast<double>(cell.areaPx())});
            }
            cells.push_back(std::move(parts));
        }
    }
    return cells;
}

/// Share of a block that lies on the panel.
double coveredShare(const PanelPlace& panel, RectPx block)
{
    if (!panel.corners) {
        return static_cast<double>(intersection(block, panel.stored).areaPx())
            / static_cast<double>(block.areaPx());
    }
    const Homography map(*panel.corners);
    int inside = 0;
    for (int i = 0; i < pointsAcross * pointsAcross; ++i) {
        const int across = i % pointsAcross;
        const int down = i / pointsAcross;
        const PlanePoint at = map.toPanel({block.x + block.width * (across + 0.5) / pointsAcross,
            block.y + block.height * (down + 0.5) / pointsAcross});
        inside += at.x >= 0.0 && at.x < 1.0 && at.y >= 0.0 && at.y < 1.0 ? 1 : 0;
    }
    return static_cast<double>(inside) / (pointsAcross * pointsAcross);
}

/// How much the light beside the panel changes next to a block that its border cuts, for the part
/// of the block that is not panel.
double foreignChange(MapBlocks& blocks, const PanelPlace& panel, std::size_t block)
{
    const double covered = coveredShare(panel, blocks.placeOf(block));
    if (covered >= 1.0) {
        return 0.0;
    }
    double most = 0.0;
    for (const std::size_t beside : blocks.around(block)) {
        if (coveredShare(panel, blocks.placeOf(beside)) <= 0.0) {
            most = std::max(most, blocks.change(beside));
        }
    }
    return (1.0 - covered) * most;
}

} // namespace

std::optional<std::vector<float>> panelFromMap(MapBlocks& blocks, const PanelPlace& panel)
{
    if (isCellBelowBlock(panel, blocks.map().blockPx)) {
        return std::nullopt;
    }
    const CellParts cells = partsOf(blocks, panel);
    const auto frames = static_cast<std::size_t>(blocks.map().frames);
    std::vector<float> light(frames * cells.size());
    std::map<std::size_t, double> foreign;
    std::vector<double> changes;
    double mostAdded = 0.0;
    for (std::size_t cell = 0; cell < cells.size(); ++cell) {
        std::vector<double> sum(frames, 0.0);
        addBlocks(blocks, cells[cell], sum);
        const std::vector<float> one(sum.begin(), sum.end());
        changes.push_back(changeOf(one));
        for (std::size_t k = 0; k < frames; ++k) {
            light[k * cells.size() + cell] = one[k];
        }
        double added = 0.0;
        for (const LightPart& part : cells[cell]) {
            const auto found = foreign.try_emplace(part.source, -1.0).first;
            if (found->second < 0.0) {
                found->second = foreignChange(blocks, panel, part.source);
            }
            added += part.weight * found->second;
        }
        mostAdded = std::max(mostAdded, added);
    }
    const double usual = trace::medianOf(changes);
    spdlog::debug("second look at the panel: its cells change by {:.5f}, what is beside it adds "
                  "{:.5f} to one of them",
        usual, mostAdded);
    return usual > 0.0 && mostAdded <= mostForeign * usual ? std::optional(std::move(light))
                                                           : std::nullopt;
}

} // namespace twinlamp::measure
