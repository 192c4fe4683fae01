// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/answer_window.h"

#include <algorithm>

namespace twinlamp::measure {

using onset::AnswerWindow;
using onset::CoarseEdge;
using onset::TimedTrace;

namespace {

std::size_t frameFrom(const TimedTrace& trace, double timeMs)
{
    const double start = timeMs - trace.rows.meanRowMs();
    return static_cast<std::size_t>(
        std::ranges::lower_bound(trace.startMs, start) - trace.startMs.begin());
}

} // namespace

AnswerWindow answerWindow(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    const PairedEdge& paired, double newFrameMs)
{
    const CoarseEdge& edge = edges[paired.goggleEdge];
    const double interval = goggle.camera.frameIntervalMs;
    const double half = goggle.startMs[edge.frame] + goggle.rows.meanRowMs();
    AnswerWindow window;
    window.edge = edge.edge;
    window.latestMs = half + interval;
    // The first, partly lit picture may come one new-frame interval before half light, its response
    // some more.
    window.earliestMs
        = std::max(half - 2.2 * newFrameMs - 8.0 - interval, paired.referenceMs - interval);
    std::size_t notBefore = 0;
    std::size_t notAfter = goggle.frameCount();
    if (paired.goggleEdge > 0) {
        notBefore = edges[paired.goggleEdge - 1].frame + 1;
        window.earliestMs
            = std::max(window.earliestMs, goggle.startMs[notBefore - 1] + goggle.rows.meanRowMs());
    }
    if (paired.goggleEdge + 1 < edges.size()) {
        notAfter = edges[paired.goggleEdge + 1].frame;
        notAfter = notAfter > edge.frame + 2 ? notAfter - 1 : notAfter;
    }
    window.earliestMs = std::min(window.earliestMs, window.latestMs - interval);
    const double quiet = std::max(8.0 * interval, 10.0);
    window.firstFrame = std::max(notBefore, frameFrom(goggle, window.earliestMs - quiet));
    // Levels are the mean from 2 to 5 new-frame intervals after the departure: look that far.
    window.lastFrame
        = std::min(notAfter, frameFrom(goggle, half + std::max(4.5 * newFrameMs, 8.0 * interval)));
    return window;
}

} // namespace twinlamp::measure
