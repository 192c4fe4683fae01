// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/map_blocks.h"

#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace twinlamp::measure {

double changeOf(std::span<const float> light)
{
    if (light.empty()) {
        return 0.0;
    }
    double sum = 0.0;
    double squares = 0.0;
    for (const float value : light) {
        sum += static_cast<double>(value);
        squares += static_cast<double>(value) * static_cast<double>(value);
    }
    const auto n = static_cast<double>(light.size());
    const double noise = trace::frameNoise(light);
    return std::sqrt(std::max(0.0, squares / n - std::pow(sum / n, 2) - noise * noise));
}

std::size_t MapBlocks::blockAt(int x, int y) const
{
    return static_cast<std::size_t>(y / m_map.blockPx) * static_cast<std::size_t>(m_map.columns())
        + static_cast<std::size_t>(x / m_map.blockPx);
}

RectPx MapBlocks::placeOf(std::size_t block) const
{
    const auto columns = static_cast<std::size_t>(m_map.columns());
    return m_map.block(static_cast<int>(block % columns), static_cast<int>(block / columns));
}

bool MapBlocks::is(std::size_t block, trace::LightMap::Mark mark) const
{
    return (m_map.marks[block] & mark) != 0;
}

std::vector<std::size_t> MapBlocks::under(RectPx rect) const
{
    std::vector<std::size_t> blocks;
    const RectPx seen = intersection(rect, {0, 0, m_map.widthPx, m_map.heightPx});
    const int side = m_map.blockPx;
    for (int y = seen.y / side * side; y < seen.bottom(); y += side) {
        for (int x = seen.x / side * side; x < seen.right(); x += side) {
            blocks.push_back(blockAt(x, y));
        }
    }
    return blocks;
}

std::vector<std::size_t> MapBlocks::around(std::size_t block) const
{
    const RectPx place = placeOf(block);
    std::vector<std::size_t> blocks
        = under({place.x - 1, place.y - 1, place.width + 2, place.height + 2});
    std::erase(blocks, block);
    return blocks;
}

const std::vector<float>& MapBlocks::light(std::size_t block)
{
    std::vector<float>& light = m_light[block];
    if (light.empty()) {
        light.reserve(static_cast<std::size_t>(m_map.frames));
        for (std::int64_t k = 0; k < m_map.frames; ++k) {
            light.push_back(m_map.at(k, block));
        }
    }
    return light;
}

double MapBlocks::change(std::size_t block) { return changeOf(light(block)); }

double MapBlocks::difference(std::size_t a, std::size_t b)
{
    std::vector<float> apart = light(a);
    std::ranges::transform(apart, light(b), apart.begin(), std::minus<>());
    return changeOf(apart);
}

double MapBlocks::unevenness(std::size_t block)
{
    const RectPx place = placeOf(block);
    const auto beside = [&](int x, int y) -> std::optional<double> {
        if (x < 0 || y < 0 || x >= m_map.widthPx || y >= m_map.heightPx) {
            return std::nullopt;
        }
        return difference(block, blockAt(x, y));
    };
    const auto along = [](std::optional<double> one, std::optional<double> other) {
        return one && other ? std::min(*one, *other) : one.value_or(other.value_or(0.0));
    };
    return std::max(along(beside(place.x - 1, place.y), beside(place.right(), place.y)),
        along(beside(place.x, place.y - 1), beside(place.x, place.bottom())));
}

void addBlocks(MapBlocks& blocks, std::span<const LightPart> parts, std::span<double> out)
{
    for (const LightPart& part : parts) {
        const std::vector<float>& light = blocks.light(part.source);
        std::ranges::transform(out, light, out.begin(), [&](double sum, float value) {
            return sum + part.weight * static_cast<double>(value);
        });
    }
}

} // namespace twinlamp::measure
