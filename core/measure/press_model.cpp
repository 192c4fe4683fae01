// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/press_model.h"

#include "core/base/contracts.h"
#include "core/onset/split_shape.h"

#include <algorithm>

namespace twinlamp::measure {

namespace {

using onset::AnswerFit;
using onset::ReferenceOnset;
using onset::StepShape;
using onset::TimedTrace;

// What a reader needs to see of the levels on both sides of an edge.
constexpr std::size_t quietFrames = 10;

std::size_t minusClamped(std::size_t a, std::size_t b) { return a > b ? a - b : 0; }

std::size_t frameAt(const TimedTrace& trace, double timeMs)
{
    const auto found = std::ranges::lower_bound(trace.startMs, timeMs - trace.rows.meanRowMs());
    return static_cast<std::size_t>(found - trace.startMs.begin());
}

template<typename LightOf>
ModelStretch stretchOf(const TimedTrace& trace, FrameSpan span, const LightOf& lightOf)
{
    TL_EXPECTS(span.last <= trace.startMs.size());
    ModelStretch model;
    model.firstFrame = static_cast<std::int64_t>(span.first);
    for (std::size_t k = span.first; k < span.last; ++k) {
        model.light.push_back(static_cast<float>(lightOf(trace.startMs[k])));
    }
    return model;
}

} // namespace

ModelStretch referenceModel(const TimedTrace& trace, const ReferenceOnset& onset, FrameSpan span)
{
    // The row exposed last is the first to see a lamp that is on already.
    const double lastRowMs = trace.rows.firstRowMs + trace.rows.smearMs;
    const double step = onset.after.light - onset.before.light;
    return stretchOf(trace, span, [&](double startMs) {
        return onset.before.light
            + step
            * onset.response.meanOver(
                startMs + lastRowMs - onset.timeMs, trace.camera.exposureMs, trace.rows.smearMs);
    });
}

ModelStretch goggleModel(
    const TimedTrace& trace, const AnswerFit& fit, const StepShape& seen, FrameSpan span)
{
    const onset::SplitShapes shapes = onset::splitShapes(seen, fit.split);
    const double exposureMs = trace.camera.exposureMs;
    return stretchOf(trace, span, [&](double startMs) {
        const double since = startMs + trace.rows.meanRowMs() - fit.startMs;
        double light = fit.before + fit.first * shapes.first.meanOver(since, exposureMs);
        if (fit.delayMs > 0.0) {
            light += fit.second * shapes.second.meanOver(since - fit.delayMs, exposureMs);
        }
        return light;
    });
}

ModelStretch modelOfLampEdge(const TimedTrace& reference, const LampOnsets& lamp, std::size_t edge)
{
    const LampOnset& here = lamp.onsets[edge];
    if (!here.onset) {
        return {};
    }
    // A neighbour's own partly lit frames belong to the neighbour.
    constexpr std::size_t reach = 2;
    FrameSpan span {minusClamped(here.edge.frame, quietFrames),
        std::min(here.edge.frame + quietFrames, reference.frameCount())};
    if (edge > 0) {
        span.first = std::max(span.first, lamp.onsets[edge - 1].edge.frame + reach);
    }
    if (edge + 1 < lamp.onsets.size()) {
        span.last = std::min(span.last, minusClamped(lamp.onsets[edge + 1].edge.frame, 1));
    }
    span.last = std::max(span.first, span.last);
    return referenceModel(reference, *here.onset, span);
}

ModelStretch modelOfAnswer(const TimedTrace& goggle, const onset::AnswerWindow& window,
    const AnswerFit& fit, const StepShape& seen)
{
    const std::size_t settled = frameAt(goggle, crossingMs(fit, seen, 0.9));
    const std::size_t start = frameAt(goggle, fit.startMs);
    FrameSpan span {std::max(window.firstFrame, minusClamped(start, quietFrames)),
        std::min(window.lastFrame, settled + quietFrames)};
    span.last = std::max(span.first, span.last);
    return goggleModel(goggle, fit, seen, span);
}

} // namespace twinlamp::measure
