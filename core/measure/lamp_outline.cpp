// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_outline.h"

#include "core/measure/blob.h"
#include "core/trace/light_meter.h"

#include <algorithm>

namespace twinlamp::measure {

using onset::CoarseEdge;

namespace {

// Light of single pixels of a rectangle of the stored picture.
std::vector<float> pixelLight(const footage::Frame& frame, RectPx rect)
{
    const trace::LightMeter meter(frame.view(), {{rect, rect.width, rect.height, 0}});
    std::vector<float> light(meter.valueCount());
    return meter.read(frame.view(), light, {}) ? light
                                               : std::vector<float>(meter.valueCount(), 0.0F);
}

} // namespace

RectPx grown(RectPx rect, int by, RectPx inside)
{
    return intersection(
        {rect.x - by, rect.y - by, rect.width + 2 * by, rect.height + 2 * by}, inside);
}

std::vector<float> pixelSteps(footage::FrameSource& source, const std::vector<CoarseEdge>& edges,
    std::int64_t firstFrame, RectPx rect, std::int64_t before, std::int64_t after)
{
    std::vector<float> steps(static_cast<std::size_t>(rect.areaPx()), 0.0F);
    std::size_t used = 0;
    for (const CoarseEdge& edge : edges) {
        const std::int64_t k = firstFrame + static_cast<std::int64_t>(edge.frame);
        if (k < before || k + after >= source.index().frameCount()) {
            continue;
        }
        const auto dark = source.frame({k - before});
        const auto lit = source.frame({k + after});
        if (!dark || !lit) {
            continue;
        }
        const auto from = pixelLight(*dark, rect);
        const auto to = pixelLight(*lit, rect);
        const float sign = edge.edge == Edge::On ? 1.0F : -1.0F;
        for (std::size_t i = 0; i < steps.size(); ++i) {
            steps[i] += sign * (to[i] - from[i]);
        }
        if (++used == refineEdges) {
            break;
        }
    }
    return steps;
}

RectPx refinedRect(const std::vector<float>& steps, RectPx area, RectPx fallback, float level)
{
    if (steps.empty()) {
        return fallback;
    }
    const auto peak = static_cast<std::size_t>(std::ranges::max_element(steps) - steps.begin());
    // The brightest pixel may be noise: the level counts from what the brightest hundredth reaches.
    std::vector<float> sorted = steps;
    std::ranges::sort(sorted);
    const float bright = sorted[sorted.size() - 1 - sorted.size() / 100];
    const Blob blob = blobAround(steps, area.width, peak, level * bright);
    const RectPx box = solidBox(blob, area.width, 0.15);
    constexpr int smallestPx = 3;
    if (box.width < smallestPx || box.height < smallestPx) {
        return fallback;
    }
    return {area.x + box.x, area.y + box.y, box.width, box.height};
}

} // namespace twinlamp::measure
