// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/step_map.h"

#include "core/onset/level_window.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::measure {

using onset::CoarseEdge;

namespace {

double meanOver(std::span<const float> light, std::ptrdiff_t first, std::ptrdiff_t last)
{
    first = std::clamp<std::ptrdiff_t>(first, 0, std::ssize(light) - 1);
    last = std::clamp<std::ptrdiff_t>(last, first + 1, std::ssize(light));
    double sum = 0.0;
    for (std::ptrdiff_t k = first; k < last; ++k) {
        sum += static_cast<double>(light[static_cast<std::size_t>(k)]);
    }
    return sum / static_cast<double>(last - first);
}

} // namespace

double levelScatter(std::span<const float> light, const onset::EdgeSearch& search)
{
    constexpr std::size_t transition = 3;
    double squares = 0.0;
    double frames = 0.0;
    std::size_t first = 0;
    for (std::size_t i = 0; i <= search.edges.size(); ++i) {
        const std::size_t end = i < search.edges.size() ? search.edges[i].frame : light.size();
        const std::size_t last = end > transition ? end - transition : 0;
        const onset::Level level = onset::levelOf(light, first, std::max(first, last));
        squares += level.noise * level.noise * static_cast<double>(level.frames);
        frames += static_cast<double>(level.frames);
        first = end + transition;
    }
    return frames > 0.0 ? std::sqrt(squares / frames) / search.stepHeight : 1.0;
}

std::vector<float> stepMap(const BlockMap& map, const std::vector<CoarseEdge>& edges,
    std::ptrdiff_t away, std::ptrdiff_t width)
{
    std::vector<float> steps(map.blockCount(), 0.0F);
    for (std::size_t b = 0; b < map.blockCount(); ++b) {
        const auto light = map.block(b);
        double sum = 0.0;
        for (const CoarseEdge& edge : edges) {
            const auto k = static_cast<std::ptrdiff_t>(edge.frame);
            const double step = meanOver(light, k + away, k + away + width)
                - meanOver(light, k - away - width, k - away);
            sum += edge.edge == Edge::On ? step : -step;
        }
        steps[b] = static_cast<float>(sum / static_cast<double>(edges.size()));
    }
    return steps;
}

std::vector<float> delayMap(
    const BlockMap& map, const std::vector<CoarseEdge>& edges, std::ptrdiff_t latest)
{
    constexpr std::ptrdiff_t earliest = -2;
    constexpr std::ptrdiff_t levelFrames = 2;
    std::vector<float> delays(map.blockCount(), 0.0F);
    for (std::size_t b = 0; b < map.blockCount(); ++b) {
        const auto light = map.block(b);
        double missing = 0.0;
        double whole = 0.0;
        for (const CoarseEdge& edge : edges) {
            const auto k = static_cast<std::ptrdiff_t>(edge.frame);
            const double sign = edge.edge == Edge::On ? 1.0 : -1.0;
            const double before = meanOver(light, k + earliest - levelFrames, k + earliest);
            const double after = meanOver(light, k + latest, k + latest + levelFrames);
            const double over = meanOver(light, k + earliest, k + latest);
            whole += sign * (after - before);
            missing += sign * (after - over);
        }
        const auto frames = static_cast<double>(latest - earliest);
        const double step = std::abs(whole) > 0.0 ? whole : 1.0;
        delays[b] = static_cast<float>(frames * missing / step + static_cast<double>(earliest));
    }
    return delays;
}

std::ptrdiff_t holdFrames(const std::vector<CoarseEdge>& edges)
{
    std::vector<double> holds;
    for (std::size_t i = 1; i < edges.size(); ++i) {
        holds.push_back(static_cast<double>(edges[i].frame - edges[i - 1].frame));
    }
    return holds.empty() ? 0 : static_cast<std::ptrdiff_t>(trace::medianOf(holds));
}

RectPx toPixels(const BlockMap& map, RectPx blocks)
{
    const RectPx first = map.rect(static_cast<std::size_t>(blocks.y * map.columns + blocks.x));
    const RectPx last = map.rect(
        static_cast<std::size_t>((blocks.bottom() - 1) * map.columns + blocks.right() - 1));
    return {first.x, first.y, last.right() - first.x, last.bottom() - first.y};
}

std::size_t highestBlock(const std::vector<float>& values)
{
    return static_cast<std::size_t>(std::ranges::max_element(values) - values.begin());
}

double isolation(const std::vector<float>& steps, const Blob& blob)
{
    std::vector<float> rest = steps;
    for (const std::size_t cell : blob.cells) {
        rest[cell] = 0.0F;
    }
    const float peak = steps[highestBlock(steps)];
    const float second = rest[highestBlock(rest)];
    return peak > 0.0F ? std::clamp(1.0 - static_cast<double>(second / peak), 0.0, 1.0) : 0.0;
}

} // namespace twinlamp::measure
