// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/map_lamp.h"

#include "core/trace/light_meter.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <spdlog/spdlog.h>

namespace twinlamp::measure {

using trace::LightMap;

namespace {

// What may be hidden in blocks that a border cuts, of how much the region's light changes. As much
// of a step moves its tenth by a hundredth of a frame where the light rises within one; half widths
// are six times that at best.
constexpr double mostHidden = 0.01;
// Of the change, where cells are smaller than a block: the rows of so little do not tell.
constexpr double mostCoarse = 0.1;
// As many samples as a cell of the panel is read with (measure/region_reader.cpp).
constexpr double fewestBlocks = 4.0;
// Luma says up to seven times too little of a saturated colour: pure red, of luminance 0.21, has
// the luma of a grey of 0.03.
constexpr double colourFactor = 8.0;

std::int64_t shared(RectPx a, RectPx b) { return intersection(a, b).areaPx(); }

/// A block's pixels that come into a region and go out of it.
struct Exchange
{
    std::size_t block = 0;
    std::int64_t added = 0;
    std::int64_t removed = 0;
    std::int64_t all = 0;

    [[nodiscard]] bool isCut() const
    {
        return (added > 0 && added < all) || (removed > 0 && removed < all);
    }

    [[nodiscard]] double net() const { return static_cast<double>(added - removed); }
};

std::vector<Exchange> exchanges(const MapBlocks& blocks, RectPx from, RectPx to)
{
    std::vector<std::size_t> touched = blocks.under(to);
    const std::vector<std::size_t> before = blocks.under(from);
    touched.insert(touched.end(), before.begin(), before.end());
    std::ranges::sort(touched);
    touched.erase(std::unique(touched.begin(), touched.end()), touched.end());
    const RectPx kept = intersection(from, to);
    std::vector<Exchange> found;
    for (const std::size_t block : touched) {
        const RectPx place = blocks.placeOf(block);
        const std::int64_t stays = shared(place, kept);
        const Exchange one {
            block, shared(place, to) - stays, shared(place, from) - stays, place.areaPx()};
        if (one.added > 0 || one.removed > 0) {
            found.push_back(one);
        }
    }
    return found;
}

/// What the map has to answer for. Unit: light times pixels.
struct Reliance
{
    double hidden = 0.0; ///< may be placed wrongly
    double coarse = 0.0; ///< of the change, from the map
    double strongest = 0.0; ///< of one block
    bool isClipped = false;
};

Reliance relianceOn(MapBlocks& blocks, const std::vector<Exchange>& exchanged)
{
    Reliance reliance;
    for (const Exchange& one : exchanged) {
        const double change = std::abs(one.net()) * blocks.change(one.block);
        reliance.coarse += change;
        reliance.strongest = std::max(reliance.strongest, change);
        if (one.isCut()) {
            reliance.hidden += 0.5 * static_cast<double>(one.all) * blocks.unevenness(one.block);
        }
        if (blocks.is(one.block, LightMap::Coloured)) {
            reliance.hidden += colourFactor * change;
        }
        reliance.isClipped = reliance.isClipped || blocks.is(one.block, LightMap::Clipped);
    }
    return reliance;
}

std::vector<float> narrowed(const std::vector<double>& values)
{
    std::vector<float> narrow;
    narrow.reserve(values.size());
    std::ranges::transform(
        values, std::back_inserter(narrow), [](double value) { return static_cast<float>(value); });
    return narrow;
}

std::vector<float> regionLight(MapBlocks& blocks, const LampPlace& wanted,
    const LampLightRead& base, const std::vector<Exchange>& exchanged)
{
    const auto area = static_cast<double>(wanted.stored.areaPx());
    const double share = static_cast<double>(base.place.stored.areaPx()) / area;
    std::vector<double> sum(static_cast<std::size_t>(blocks.map().frames), 0.0);
    if (share > 0.0) {
        std::ranges::transform(base.light, sum.begin(),
            [share](float light) { return share * static_cast<double>(light); });
    }
    std::vector<LightPart> parts;
    for (const Exchange& one : exchanged) {
        parts.push_back({one.block, one.net() / area});
    }
    addBlocks(blocks, parts, sum);
    return narrowed(sum);
}

// A cell from those that were read where they reach, else from blocks.
std::vector<double> cellLight(
    MapBlocks& blocks, RectPx cell, const LampLightRead& base, std::size_t cellsRead)
{
    const auto area = static_cast<double>(cell.areaPx());
    const RectPx inside = intersection(cell, base.place.stored);
    std::vector<double> light(static_cast<std::size_t>(blocks.map().frames), 0.0);
    const trace::MeterRegion grid {base.place.stored, base.place.columns, base.place.rows};
    for (std::size_t source = 0; source < cellsRead && !inside.isEmpty(); ++source) {
        const auto columns = static_cast<std::size_t>(grid.columns);
        const RectPx place = trace::cellOf(
            grid, static_cast<int>(source % columns), static_cast<int>(source / columns));
        const double weight = static_cast<double>(shared(place, cell)) / area;
        if (weight > 0.0) {
            for (std::size_t k = 0; k < light.size(); ++k) {
                light[k] += weight * static_cast<double>(base.cells[k * cellsRead + source]);
            }
        }
    }
    std::vector<LightPart> parts;
    for (const std::size_t block : blocks.under(cell)) {
        const RectPx place = blocks.placeOf(block);
        const std::int64_t pixels = shared(place, cell) - shared(place, inside);
        if (pixels > 0) {
            parts.push_back({block, static_cast<double>(pixels) / area});
        }
    }
    addBlocks(blocks, parts, light);
    return light;
}

std::vector<float> gridLight(MapBlocks& blocks, const LampPlace& wanted, const LampLightRead& base)
{
    const std::size_t cells
        = static_cast<std::size_t>(wanted.columns) * static_cast<std::size_t>(wanted.rows);
    const auto frames = static_cast<std::size_t>(blocks.map().frames);
    const std::size_t cellsRead = base.cells.size() / frames;
    std::vector<float> light(frames * cells);
    const trace::MeterRegion grid {wanted.stored, wanted.columns, wanted.rows};
    for (int row = 0, cell = 0; row < wanted.rows; ++row) {
        for (int column = 0; column < wanted.columns; ++column, ++cell) {
            const auto one = cellLight(blocks, trace::cellOf(grid, column, row), base, cellsRead);
            for (std::size_t k = 0; k < frames; ++k) {
                light[k * cells + static_cast<std::size_t>(cell)] = static_cast<float>(one[k]);
            }
        }
    }
    return light;
}

bool isCellBelowBlock(const LampPlace& wanted, int blockPx)
{
    return (wanted.columns > 1 && wanted.stored.width < wanted.columns * blockPx)
        || (wanted.rows > 1 && wanted.stored.height < wanted.rows * blockPx);
}

/// @param base  of no area: the map alone
std::optional<LampLightTold> toldFrom(
    MapBlocks& blocks, const LampPlace& wanted, const LampLightRead& base)
{
    const auto exchanged = exchanges(blocks, base.place.stored, wanted.stored);
    const Reliance reliance = relianceOn(blocks, exchanged);
    LampLightTold told {wanted, regionLight(blocks, wanted, base, exchanged), {}, {}};
    const double change = static_cast<double>(wanted.stored.areaPx()) * changeOf(told.light);
    const bool isAlone = base.place.stored.isEmpty();
    spdlog::debug("second look{}: of the change {:.4f} hidden, {:.4f} from the map{}",
        isAlone ? " by the map alone" : "", reliance.hidden / change, reliance.coarse / change,
        reliance.isClipped ? ", clipped" : "");
    if (reliance.isClipped || change <= 0.0 || reliance.hidden > mostHidden * change
        || (isAlone && change < fewestBlocks * reliance.strongest)
        || (isCellBelowBlock(wanted, blocks.map().blockPx)
            && reliance.coarse > mostCoarse * change)) {
        return std::nullopt;
    }
    const double share = static_cast<double>(base.place.stored.areaPx())
        / static_cast<double>(wanted.stored.areaPx());
    told.high.assign(told.light.size(), 0.0F);
    std::ranges::transform(base.high, told.high.begin(),
        [share](float high) { return std::min(1.0F, static_cast<float>(share) * high); });
    if (wanted.columns * wanted.rows > 1) {
        told.cells = gridLight(blocks, wanted, base);
    }
    return told;
}

} // namespace

std::optional<LampLightTold> lampFromMap(
    MapBlocks& blocks, const LampPlace& wanted, const LampLightRead& read)
{
    if (shared(wanted.stored, read.place.stored) > 0) {
        if (auto told = toldFrom(blocks, wanted, read)) {
            return told;
        }
    }
    return toldFrom(blocks, wanted, {});
}

} // namespace twinlamp::measure
