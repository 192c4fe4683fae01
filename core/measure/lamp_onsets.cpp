// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_onsets.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::measure {

using onset::CoarseEdge;
using onset::EdgeNeighbourhood;
using onset::PartlyLit;
using onset::TimedTrace;

namespace {

// A lamp switches within a frame; three leave room for its afterglow.
constexpr std::size_t lampLagFrames = 3;
// More than this share of the region at the end of the code range: part of the lamp is clipped.
constexpr float clippedShare = 0.01F;

EdgeNeighbourhood around(
    const std::vector<CoarseEdge>& edges, std::size_t i, std::size_t frameCount)
{
    return {
        i == 0 ? 0 : edges[i - 1].frame, i + 1 < edges.size() ? edges[i + 1].frame : frameCount};
}

// The lit side of the edge decides: a few frames into it.
bool isClipped(const CoarseEdge& edge, std::span<const float> high)
{
    const std::size_t lit = edge.edge == Edge::On
        ? std::min(edge.frame + 1, high.size() - 1)
        : edge.frame - std::min<std::size_t>(edge.frame, 2);
    return !high.empty() && high[lit] > clippedShare;
}

} // namespace

LampOnsets lampOnsets(TimedTrace& trace, std::span<const float> high)
{
    LampOnsets lamp;
    lamp.search = onset::findEdges(trace.light, lampLagFrames);
    const auto& edges = lamp.search.edges;
    for (const CoarseEdge& edge : edges) {
        lamp.onsets.push_back({edge, std::nullopt, isClipped(edge, high)});
    }
    if (trace.camera.exposureMs <= 0.0) {
        std::vector<PartlyLit> partly;
        for (std::size_t i = 0; i < edges.size(); ++i) {
            const auto frame
                = partlyLitFrame(trace, edges[i], around(edges, i, trace.frameCount()));
            if (frame && !lamp.onsets[i].clipped) {
                partly.push_back(*frame);
            }
        }
        lamp.exposure = onset::estimateExposure(partly, trace.camera.frameIntervalMs);
        trace.camera.exposureMs = lamp.exposure->exposureMs;
    }
    const bool isClipped
        = std::ranges::any_of(lamp.onsets, [](const LampOnset& onset) { return onset.clipped; });
    if (!isClipped) {
        lamp.onResponse = onset::fitLampResponse(trace, edges, Edge::On);
        lamp.offResponse = onset::fitLampResponse(trace, edges, Edge::Off);
    }
    const auto timed = timeAgain(trace, lamp);
    for (std::size_t i = 0; i < timed.size(); ++i) {
        lamp.onsets[i].onset = timed[i];
    }
    return lamp;
}

std::vector<std::optional<onset::ReferenceOnset>> timeAgain(
    const TimedTrace& trace, const LampOnsets& lamp)
{
    std::vector<std::optional<onset::ReferenceOnset>> onsets;
    const auto& edges = lamp.search.edges;
    for (std::size_t i = 0; i < edges.size(); ++i) {
        onsets.push_back(referenceOnset(trace, edges[i], around(edges, i, trace.frameCount()),
            lamp.onsets[i].clipped, lamp.response(edges[i].edge)));
    }
    return onsets;
}

} // namespace twinlamp::measure
