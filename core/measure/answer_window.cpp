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

// The second picture of an answer comes up to a new-frame interval after half light, and the panel
// takes a while to follow; the first one as long before.
constexpr double pictureAndResponse = 1.3;
constexpr std::size_t fewestQuietFrames = 4;

// First frame that the answer before has left alone, as far as this answer's own first picture
// leaves room.
std::size_t firstOwnFrame(
    const TimedTrace& goggle, const CoarseEdge& previous, double halfMs, double newFrameMs)
{
    const double reach = pictureAndResponse * newFrameMs;
    const double previousHalf = goggle.startMs[previous.frame] + goggle.rows.meanRowMs();
    const std::size_t after = previous.frame + 1;
    const std::size_t ownPicture = frameFrom(goggle, halfMs - reach);
    const std::size_t latest = ownPicture - std::min(ownPicture, fewestQuietFrames);
    return std::clamp(frameFrom(goggle, previousHalf + reach), after, std::max(after, latest));
}

// First frame that may belong to the next answer, as far as this one's own second picture leaves
// room.
std::size_t firstForeignFrame(
    const TimedTrace& goggle, const CoarseEdge& next, double halfMs, double newFrameMs)
{
    const double reach = pictureAndResponse * newFrameMs;
    const double nextHalf = goggle.startMs[next.frame] + goggle.rows.meanRowMs();
    const std::size_t earliest = frameFrom(goggle, halfMs + reach) + fewestQuietFrames;
    return std::clamp(
        frameFrom(goggle, nextHalf - reach), std::min(earliest, next.frame), next.frame);
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
        notBefore = firstOwnFrame(goggle, edges[paired.goggleEdge - 1], half, newFrameMs);
        window.earliestMs
            = std::max(window.earliestMs, goggle.startMs[notBefore - 1] + goggle.rows.meanRowMs());
    }
    if (paired.goggleEdge + 1 < edges.size()) {
        notAfter = firstForeignFrame(goggle, edges[paired.goggleEdge + 1], half, newFrameMs);
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
