// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_onsets.h"

#include "core/measure/row_exposure.h"

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

// Where pulses begin with the switching, as those of a dimmer behind it do, the first one shows it;
// where they run on, it came in the dark before. The last pulse may have ended before the lamp went
// off: half of the dark is least wrong. What lit frames lack varies with where a pulse falls in
// them.
void allowForPulses(
    const LampPulses& pulses, Edge edge, double exposureMs, onset::ReferenceOnset& onset)
{
    const double fractionMs = pulses.depth * exposureMs / std::sqrt(3.0);
    const bool isOff = edge == Edge::Off;
    onset.timeMs += isOff ? 0.5 * pulses.darkMs : 0.0;
    const double darkMs = pulses.darkMs * (isOff ? 1.0 / std::sqrt(12.0) : 0.5);
    onset.standardMs = std::hypot(onset.standardMs, fractionMs, darkMs);
}

onset::ExposureEstimate exposureByPartlyLit(const TimedTrace& trace, const LampOnsets& lamp)
{
    const auto& edges = lamp.search.edges;
    std::vector<PartlyLit> partly;
    for (std::size_t i = 0; i < edges.size(); ++i) {
        const auto frame = partlyLitFrame(trace, edges[i], around(edges, i, trace.frameCount()));
        if (frame && !lamp.onsets[i].clipped) {
            partly.push_back(*frame);
        }
    }
    return onset::estimateExposure(partly, trace.camera.frameIntervalMs);
}

// A tail leaves frames partly lit that the exposure alone would not: both are told anew together.
void estimateUnderTails(TimedTrace& trace, LampOnsets& lamp)
{
    const auto& edges = lamp.search.edges;
    const auto exposure
        = onset::exposureUnderTails(trace, edges, lamp.onResponse, lamp.offResponse);
    if (!exposure) {
        return;
    }
    lamp.exposure->exposureMs = exposure->exposureMs;
    lamp.exposure->standardMs = exposure->standardMs;
    trace.camera.exposureMs = exposure->exposureMs;
    lamp.onResponse = onset::fitLampResponse(trace, edges, Edge::On);
    lamp.offResponse = onset::fitLampResponse(trace, edges, Edge::Off);
}

} // namespace

std::size_t lampEdgeCount(std::span<const float> light)
{
    return onset::findEdges(light, lampLagFrames).edges.size();
}

LampOnsets lampOnsets(TimedTrace& trace, std::span<const float> high,
    std::span<const LampLine> lines, std::optional<LampPulses> pulses)
{
    LampOnsets lamp;
    lamp.pulses = pulses;
    lamp.search = onset::findEdges(trace.light, lampLagFrames);
    const auto& edges = lamp.search.edges;
    for (const CoarseEdge& edge : edges) {
        lamp.onsets.push_back({edge, std::nullopt, isClipped(edge, high)});
    }
    if (trace.camera.exposureMs <= 0.0) {
        lamp.exposure = exposureByPartlyLit(trace, lamp);
        if (!pulses) {
            lamp.exposure = exposureFromRows(trace, lines, lamp.onsets, *lamp.exposure);
        }
        trace.camera.exposureMs = lamp.exposure->exposureMs;
    }
    const bool isClipped
        = std::ranges::any_of(lamp.onsets, [](const LampOnset& onset) { return onset.clipped; });
    if (!isClipped && !pulses) {
        lamp.onResponse = onset::fitLampResponse(trace, edges, Edge::On);
        lamp.offResponse = onset::fitLampResponse(trace, edges, Edge::Off);
        if (lamp.exposure && (lamp.onResponse.isSlow() || lamp.offResponse.isSlow())) {
            estimateUnderTails(trace, lamp);
        }
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
        if (lamp.pulses && onsets.back()) {
            allowForPulses(*lamp.pulses, edges[i].edge, trace.camera.exposureMs, *onsets.back());
        }
    }
    return onsets;
}

} // namespace twinlamp::measure
