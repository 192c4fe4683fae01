// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/texture.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace twinlamp::film {

namespace {

/// Random values on a grid of whole patches, blended smoothly in between.
void addPatches(std::vector<float>& values, int width, int height, double patchPx, Random& random,
    double weight)
{
    const int columns = std::max(1, static_cast<int>(std::lround(width / patchPx)));
    const int rows = std::max(1, static_cast<int>(std::lround(height / patchPx)));
    std::vector<double> grid(static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows));
    std::ranges::generate(grid, [&] { return random.uniform(-1.0, 1.0); });
    const auto node = [&](int c, int r) {
        return grid[static_cast<std::size_t>(r % rows) * static_cast<std::size_t>(columns)
            + static_cast<std::size_t>(c % columns)];
    };
    const auto smooth = [](double t) { return t * t * (3.0 - 2.0 * t); };
    std::size_t i = 0;
    for (int y = 0; y < height; ++y) {
        const double gy = static_cast<double>(y) * rows / height;
        const int r = static_cast<int>(gy);
        const double v = smooth(gy - r);
        for (int x = 0; x < width; ++x, ++i) {
            const double gx = static_cast<double>(x) * columns / width;
            const int c = static_cast<int>(gx);
            const double u = smooth(gx - c);
            const double top = std::lerp(node(c, r), node(c + 1, r), u);
            const double bottom = std::lerp(node(c, r + 1), node(c + 1, r + 1), u);
            values[i] += static_cast<float>(weight * std::lerp(top, bottom, v));
        }
    }
}

} // namespace

Texture::Texture(
    std::uint64_t seed, Stream stream, int widthPx, int heightPx, double patchPx, double contrast)
    : m_width(static_cast<std::size_t>(widthPx))
    , m_height(heightPx)
    , m_values(m_width * static_cast<std::size_t>(heightPx), 0.0F)
{
    Random random(seed, stream);
    constexpr double coarseWeight = 0.7;
    addPatches(m_values, widthPx, heightPx, patchPx, random, coarseWeight);
    addPatches(m_values, widthPx, heightPx, patchPx / 2.5, random, 1.0 - coarseWeight);
    const double sum = std::accumulate(m_values.begin(), m_values.end(), 0.0);
    const auto mean = static_cast<float>(sum / static_cast<double>(m_values.size()));
    for (float& value : m_values) {
        value = 1.0F + static_cast<float>(contrast) * std::clamp(value - mean, -1.0F, 1.0F);
    }
}

} // namespace twinlamp::film
