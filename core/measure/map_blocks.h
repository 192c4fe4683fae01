// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"
#include "core/trace/light_map.h"

#include <map>
#include <span>
#include <vector>

/// Regions made of a light map's blocks.
namespace twinlamp::measure {

/// A part of one source of light: of a map's block, or of a cell that was read.
struct LightPart
{
    std::size_t source = 0;
    double weight = 0.0;
};

/// Standard deviation over the frames without their noise: how much the light changes.
[[nodiscard]] double changeOf(std::span<const float> light);

/// The blocks of a map as traces, each made once.
class MapBlocks
{
public:
    explicit MapBlocks(const trace::LightMap& map)
        : m_map(map)
    {
    }

    [[nodiscard]] const trace::LightMap& map() const { return m_map; }

    [[nodiscard]] std::size_t blockAt(int x, int y) const;
    [[nodiscard]] RectPx placeOf(std::size_t block) const;
    [[nodiscard]] bool is(std::size_t block, trace::LightMap::Mark mark) const;

    /// Blocks that a rectangle of the stored picture touches.
    [[nodiscard]] std::vector<std::size_t> under(RectPx rect) const;
    /// Blocks that touch this one, those at its corners too.
    [[nodiscard]] std::vector<std::size_t> around(std::size_t block) const;

    [[nodiscard]] const std::vector<float>& light(std::size_t block);
    /// See changeOf().
    [[nodiscard]] double change(std::size_t block);

    /// How unevenly a block's light may lie within it, told by the blocks beside it: along each
    /// axis the change of the difference to the one it is more alike, and of both axes the greater.
    /// Flat and evenly sloped light gives nearly nothing; an edge within the block stands out
    /// against both sides.
    [[nodiscard]] double unevenness(std::size_t block);

private:
    [[nodiscard]] double difference(std::size_t a, std::size_t b);

    const trace::LightMap& m_map;
    std::map<std::size_t, std::vector<float>> m_light;
};

/// Adds weighted blocks to `out`, shape N.
void addBlocks(MapBlocks& blocks, std::span<const LightPart> parts, std::span<double> out);

} // namespace twinlamp::measure
