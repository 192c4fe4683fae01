// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/direct_lamps.h"

#include "core/measure/blob.h"
#include "core/measure/step_map.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::measure {

using onset::CoarseEdge;

namespace {

constexpr std::size_t closeLooks = 60;
constexpr double leastRange = 0.015;
constexpr double leastRangeNoises = 10.0;
constexpr std::size_t noiseFrames = 400;
// A lamp switches within a frame; three leave room for its afterglow.
constexpr std::size_t lampLagFrames = 3;
// A lamp's levels scatter by far less than its step, even in flickering room light.
constexpr double mostLampScatter = 0.2;
// A second lamp this much weaker than the first is its reflection.
constexpr float weakestSecond = 0.1F;
// The glow around a lamp reaches this many blocks beyond its outline.
constexpr int glowBlocks = 2;

struct Candidate
{
    std::size_t block = 0;
    double range = 0.0;
};

std::vector<Candidate> switchingBlocks(const BlockMap& map)
{
    std::vector<Candidate> blocks;
    for (std::size_t b = 0; b < map.blockCount(); ++b) {
        const auto light = map.block(b);
        const auto [low, high] = std::ranges::minmax(light);
        const double range = static_cast<double>(high) - static_cast<double>(low);
        const double noise = trace::frameNoise(light.first(std::min(noiseFrames, light.size())));
        if (range >= leastRange && range >= leastRangeNoises * noise) {
            blocks.push_back({b, range});
        }
    }
    std::ranges::sort(blocks, std::greater {}, &Candidate::range);
    blocks.resize(std::min(closeLooks, blocks.size()));
    return blocks;
}

/// Switchings of the block that steps most among those with two levels and no more.
std::vector<CoarseEdge> strongestEdges(const BlockMap& map)
{
    std::vector<CoarseEdge> best;
    double highest = 0.0;
    for (const Candidate& candidate : switchingBlocks(map)) {
        const auto light = map.block(candidate.block);
        const onset::EdgeSearch search = onset::findEdges(light, lampLagFrames);
        if (search.edges.empty() || search.stepHeight <= highest
            || levelScatter(light, search) > mostLampScatter) {
            continue;
        }
        highest = search.stepHeight;
        best = search.edges;
    }
    return best;
}

void clearAround(std::vector<float>& steps, const BlockMap& map, RectPx box)
{
    const RectPx wide = intersection({box.x - glowBlocks, box.y - glowBlocks,
                                         box.width + 2 * glowBlocks, box.height + 2 * glowBlocks},
        {0, 0, map.columns, map.rows});
    for (int row = wide.y; row < wide.bottom(); ++row) {
        for (int column = wide.x; column < wide.right(); ++column) {
            steps[static_cast<std::size_t>(row * map.columns + column)] = 0.0F;
        }
    }
}

} // namespace

std::optional<DirectLamps> searchDirectLamps(const BlockMap& map, std::size_t count)
{
    DirectLamps found;
    found.edges = strongestEdges(map);
    if (found.edges.empty()) {
        return std::nullopt;
    }
    std::vector<float> steps = stepMap(map, found.edges, 1, 4);
    std::vector<float> peaks;
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t peak = highestBlock(steps);
        const float height = steps[peak];
        if (height < static_cast<float>(leastRange)
            || (!peaks.empty() && height < weakestSecond * peaks.front())) {
            return std::nullopt;
        }
        const Blob blob = blobAround(steps, map.columns, peak, 0.4F * height);
        found.lamps.push_back({toPixels(map, blob.box), 0.0});
        peaks.push_back(height);
        clearAround(steps, map, blob.box);
    }
    const float next = std::max(0.0F, steps[highestBlock(steps)]);
    for (std::size_t i = 0; i < count; ++i) {
        found.lamps[i].confidence
            = std::clamp(1.0 - static_cast<double>(next / peaks[i]), 0.0, 1.0);
    }
    return found;
}

} // namespace twinlamp::measure
