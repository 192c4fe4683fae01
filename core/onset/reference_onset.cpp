// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/reference_onset.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace twinlamp::onset {

namespace {

// Frames that give a level: enough to average noise, few enough to follow drift.
constexpr std::size_t levelFrames = 24;
// Codecs and an uneven lamp disturb a partly lit frame by about this share of the step.
constexpr double disturbanceShare = 0.004;
// A frame this close to a level counts as not partly lit.
constexpr double partialMargin = 0.03;

struct EdgeLevels
{
    Level before;
    Level after;
    double step = 0.0; ///< after - before, signed
    double noise = 0.0; ///< of one frame's share of the step
};

std::size_t minusClamped(std::size_t a, std::size_t b) { return a > b ? a - b : 0; }

// Frames that a slow lamp needs to reach its level, at most a third of what there is.
std::size_t tailFrames(const TimedTrace& trace, const CoarseEdge& edge,
    const EdgeNeighbourhood& around, const LampResponse& response)
{
    const auto wanted
        = static_cast<std::size_t>(std::ceil(response.tailMs() / trace.camera.frameIntervalMs));
    return std::min(wanted, minusClamped(around.nextEdge, edge.frame) / 3);
}

std::optional<EdgeLevels> levelsAround(const TimedTrace& trace, const CoarseEdge& edge,
    const EdgeNeighbourhood& around, std::size_t tail)
{
    // One frame at least is kept away from the edge on both sides; a neighbour's own partly lit
    // frames likewise.
    const std::size_t beforeLast = minusClamped(edge.frame, 1);
    std::size_t beforeFirst = std::max(minusClamped(beforeLast, levelFrames),
        around.previousEdge + (around.previousEdge > 0 ? 1 : 0));
    const std::size_t afterFirst = edge.frame + 1 + tail;
    std::size_t afterLast = std::min({afterFirst + levelFrames,
        minusClamped(around.nextEdge, around.nextEdge < trace.frameCount() ? 1 : 0),
        trace.frameCount()});
    // A hold of two or three frames leaves no quiet frame: take the nearest one.
    if (beforeFirst >= beforeLast) {
        beforeFirst = minusClamped(beforeLast, 1);
    }
    if (afterLast <= afterFirst) {
        afterLast = std::min(afterFirst + 1, trace.frameCount());
    }
    EdgeLevels levels {levelOf(trace.light, beforeFirst, beforeLast),
        levelOf(trace.light, afterFirst, afterLast), 0.0, 0.0};
    levels.step = levels.after.light - levels.before.light;
    if (levels.before.frames == 0 || levels.after.frames == 0 || levels.step == 0.0) {
        return std::nullopt;
    }
    const double noise = std::max(levels.before.noise, levels.after.noise);
    const double meanErrors
        = std::hypot(levels.before.standardError(), levels.after.standardError());
    levels.noise = std::sqrt(std::pow(std::hypot(noise, meanErrors) / levels.step, 2)
        + disturbanceShare * disturbanceShare);
    return levels;
}

double shareOf(const EdgeLevels& levels, float light)
{
    return (static_cast<double>(light) - levels.before.light) / levels.step;
}

struct Instant
{
    double mean = 0.0;
    double deviation = 0.0;
};

// Mean and deviation of an instant whose log likelihood is known, over [low, high].
template<typename LogLikelihood>
Instant posterior(double low, double high, const LogLikelihood& logLikelihood)
{
    constexpr int points = 240;
    constexpr double negligible = 18.0;
    Instant result;
    for (int pass = 0; pass < 2; ++pass) {
        const double width = (high - low) / points;
        std::vector<double> logs(points);
        for (int i = 0; i < points; ++i) {
            logs[static_cast<std::size_t>(i)] = logLikelihood(low + (i + 0.5) * width);
        }
        const double best = *std::ranges::max_element(logs);
        double weight = 0.0;
        double first = 0.0;
        double second = 0.0;
        int from = points;
        int to = -1;
        for (int i = 0; i < points; ++i) {
            const double relative = logs[static_cast<std::size_t>(i)] - best;
            if (relative < -negligible) {
                continue;
            }
            from = std::min(from, i);
            to = i;
            const double at = (i + 0.5) * width;
            const double w = std::exp(relative);
            weight += w;
            first += w * at;
            second += w * at * at;
        }
        const double mean = first / weight;
        result = {low + mean,
            std::sqrt(std::max(0.0, second / weight - mean * mean) + width * width / 12.0)};
        const double base = low;
        low = base + std::max(0, from - 1) * width;
        high = base + std::min(points, to + 2) * width;
    }
    return result;
}

// The first frame that differs from the old level; the edge's own frame at the latest.
std::size_t firstChangedFrame(
    const TimedTrace& trace, const CoarseEdge& edge, const EdgeLevels& levels)
{
    const double margin = std::max(partialMargin, 4.0 * levels.noise);
    const std::size_t earlier = minusClamped(edge.frame, 1);
    return shareOf(levels, trace.light[earlier]) > margin && std::isfinite(trace.light[earlier])
        ? earlier
        : edge.frame;
}

// A clipped lamp shows more light than its fraction: the fraction only bounds the instant.
Instant clippedInstant(const TimedTrace& trace, const CoarseEdge& edge, const EdgeLevels& levels)
{
    const std::size_t k = firstChangedFrame(trace, edge, levels);
    const double start = trace.startMs[k] + trace.rows.meanRowMs();
    const double exposure = trace.camera.exposureMs;
    const double share = std::clamp(shareOf(levels, trace.light[k]), 0.0, 1.0);
    double low = start;
    double high = start + exposure;
    if (edge.edge == Edge::Off && share > 1.0 - partialMargin) {
        // Dark already: what was left of the frame before may have been enough to clip it.
        low = start - trace.camera.frameIntervalMs;
        high = start;
    } else if (edge.edge == Edge::On) {
        low = share > 1.0 - partialMargin ? start - trace.camera.gapMs()
                                          : start + exposure * (1.0 - share);
    } else {
        // Light still seen is at least what was there: the lamp went off early in what it seems to
        // have lit.
        high = share < partialMargin ? start + exposure + trace.camera.gapMs()
                                     : start + exposure * (1.0 - share);
    }
    return {0.5 * (low + high), (high - low) / std::sqrt(12.0)};
}

Instant boxInstant(const TimedTrace& trace, const CoarseEdge& edge, const EdgeLevels& levels,
    const LampResponse& response, std::size_t tail)
{
    const std::size_t first = minusClamped(edge.frame, 2);
    const std::size_t last = std::min(edge.frame + 2 + tail, trace.frameCount());
    const double rowShift = trace.rows.firstRowMs + trace.rows.smearMs;
    const auto logLikelihood = [&](double instant) {
        double sum = 0.0;
        for (std::size_t k = first; k < last; ++k) {
            if (!std::isfinite(trace.light[k])) {
                continue;
            }
            const double expected = response.meanOver(
                trace.startMs[k] + rowShift - instant, trace.camera.exposureMs, trace.rows.smearMs);
            const double miss = (shareOf(levels, trace.light[k]) - expected) / levels.noise;
            // Beyond four deviations a frame is disturbed, not evidence: it may not outvote the
            // others without bound.
            sum -= miss * miss < 16.0 ? 0.5 * miss * miss : 4.0 * std::abs(miss) - 8.0;
        }
        return sum;
    };
    const double low = trace.startMs[first] + trace.rows.firstRowMs;
    const std::size_t latest = std::min(edge.frame + 1, trace.frameCount() - 1);
    const double high = trace.startMs[latest] + rowShift + trace.camera.frameIntervalMs;
    return posterior(low, high, logLikelihood);
}

} // namespace

std::optional<ReferenceOnset> referenceOnset(const TimedTrace& trace, const CoarseEdge& edge,
    const EdgeNeighbourhood& around, bool clipped, const LampResponse& response)
{
    const std::size_t tail = tailFrames(trace, edge, around, response);
    const auto levels = levelsAround(trace, edge, around, tail);
    if (!levels) {
        return std::nullopt;
    }
    const Instant instant = clipped ? clippedInstant(trace, edge, *levels)
                                    : boxInstant(trace, edge, *levels, response, tail);
    const auto partial = partlyLitFrame(trace, edge, around);
    ReferenceOnset onset;
    onset.timeMs = instant.mean;
    onset.standardMs = instant.deviation;
    onset.inGap = !clipped && partial && !partial->isPartial
        && trace.camera.gapMs() > 0.05 * trace.camera.frameIntervalMs;
    onset.stepNoises = 1.0 / levels->noise;
    onset.response = response;
    onset.before = levels->before;
    onset.after = levels->after;
    return onset;
}

std::optional<PartlyLit> partlyLitFrame(
    const TimedTrace& trace, const CoarseEdge& edge, const EdgeNeighbourhood& around)
{
    const auto levels = levelsAround(trace, edge, around, 0);
    if (!levels) {
        return std::nullopt;
    }
    const std::size_t k = firstChangedFrame(trace, edge, *levels);
    const double share = shareOf(*levels, trace.light[k]);
    const double margin = std::max(partialMargin, 4.0 * levels->noise);
    return PartlyLit {share, share > margin && share < 1.0 - margin, 1.0 / levels->noise};
}

} // namespace twinlamp::onset
