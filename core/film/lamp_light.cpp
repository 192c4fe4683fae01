// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/lamp_light.h"

#include "core/film/random.h"

#include <algorithm>

namespace twinlamp::film {

namespace {

constexpr double tailMs = 250.0;

std::vector<double> switchingInstants(const Scene& scene)
{
    const Programme& programme = scene.lamps.programme;
    if (programme.kind == ProgrammeKind::List) {
        return programme.edgesMs;
    }
    Random random(scene.seed, Stream::Programme);
    std::vector<double> instants;
    double t = programme.startMs;
    const bool periodic = programme.kind == ProgrammeKind::Periodic;
    bool lit = programme.startLit;
    for (int i = 0; i < 2 * programme.presses; ++i) {
        instants.push_back(t);
        lit = !lit;
        const Range& range = lit ? programme.holdMs : programme.gapMs;
        t += periodic ? 0.5 * programme.periodMs : random.uniform(range.low, range.high);
    }
    return instants;
}

/// Pulses from each switching on until the next switching off.
PulseTrain lampPulses(
    const Lamps& lamps, const std::vector<LampEdge>& edges, double skewMs, double untilMs)
{
    constexpr double leadMs = 1000.0; // the link camera looks at the lamp before the clip starts
    const PulseSpec& spec = *lamps.pwm;
    PulseTrain train;
    train.peak = 1.0 / spec.duty;
    train.periodMs = spec.periodMs;
    const auto fill = [&](double from, double to) {
        for (int i = 0; from + i * spec.periodMs < to; ++i) {
            const double start = from + i * spec.periodMs;
            train.pulses.push_back({start, std::min(start + spec.duty * spec.periodMs, to)});
        }
    };
    double from = skewMs - leadMs;
    bool lit = lamps.programme.startLit;
    for (const LampEdge& edge : edges) {
        if (lit) {
            fill(from, edge.ms + skewMs);
        }
        from = edge.ms + skewMs;
        lit = edge.edge == Edge::On;
    }
    if (lit) {
        fill(from, untilMs);
    }
    return train;
}

} // namespace

double sceneDurationMs(const Scene& scene, const std::vector<LampEdge>& edges)
{
    return scene.durationMs.value_or((edges.empty() ? 0.0 : edges.back().ms) + tailMs);
}

std::vector<LampEdge> lampEdges(const Scene& scene)
{
    std::vector<LampEdge> edges;
    bool lit = scene.lamps.programme.startLit;
    for (const double ms : switchingInstants(scene)) {
        lit = !lit;
        edges.push_back({ms, lit ? Edge::On : Edge::Off});
    }
    return edges;
}

LampLight lampLight(
    const Lamps& lamps, const std::vector<LampEdge>& edges, double skewMs, double untilMs)
{
    LampLight light;
    light.curve = LightCurve(lamps.programme.startLit ? 1.0 : 0.0);
    for (const LampEdge& edge : edges) {
        const bool on = edge.edge == Edge::On;
        light.curve.approach(edge.ms + skewMs, on ? 1.0 : 0.0, on ? lamps.riseMs : lamps.fallMs);
    }
    if (lamps.pwm) {
        light.pulses = lampPulses(lamps, edges, skewMs, untilMs);
    }
    return light;
}

} // namespace twinlamp::film
