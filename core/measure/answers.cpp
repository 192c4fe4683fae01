// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/answers.h"

#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::measure {

using onset::AnswerFit;
using onset::AnswerWindow;
using onset::CoarseEdge;
using onset::ShapeTable;
using onset::StepShape;
using onset::TimedTrace;

namespace {

// New-frame interval assumed until one is known: the slow end of today's links (30 pictures a
// second would be 33 ms).
constexpr double guessedNewFrameMs = 20.0;
// Range of second-step delays that are tried: 250 to 22 new pictures a second.
constexpr double shortestNewFrameMs = 4.0;
constexpr double longestNewFrameMs = 45.0;
constexpr StepShape guessedShape {1.5, 0.6};

std::size_t frameFrom(const TimedTrace& trace, double timeMs)
{
    const double start = timeMs - trace.rows.meanRowMs();
    return static_cast<std::size_t>(
        std::ranges::lower_bound(trace.startMs, start) - trace.startMs.begin());
}

struct TwoStep
{
    double delayMs = 0.0;
    double gain = 0.0; ///< how much the second step improves the fit, in residual variances
};

// The delay that explains one answer best, where its two steps are both well visible.
std::optional<TwoStep> secondStepDelay(
    const TimedTrace& trace, const AnswerWindow& window, const ShapeTable& table, double coarseMs)
{
    const std::vector<double> none {0.0};
    const auto single = fitAnswer(trace, window, table, none);
    if (!single) {
        return std::nullopt;
    }
    std::optional<AnswerFit> best;
    for (double delay = shortestNewFrameMs; delay <= longestNewFrameMs; delay += coarseMs) {
        const std::vector<double> one {delay};
        const auto fit = fitAnswer(trace, window, table, one);
        if (fit && fit->delayMs > 0.0 && (!best || fit->squares < best->squares)) {
            best = fit;
        }
    }
    if (!best) {
        return std::nullopt;
    }
    const double share = best->first / best->step();
    const double variance = best->residual() * best->residual();
    constexpr double leastGain = 30.0;
    constexpr double leastShare = 0.12;
    const double gain = variance > 0.0 ? (single->squares - best->squares) / variance : 0.0;
    if (share < leastShare || share > 1.0 - leastShare || gain < leastGain) {
        return std::nullopt;
    }
    return TwoStep {best->delayMs, gain};
}

struct IntervalEstimate
{
    double ms = 0.0;
    double standardMs = 0.0;
};

// The delay that most answers in two steps agree on. A lost frame doubles it: the smallest
// well-supported one counts.
std::optional<IntervalEstimate> commonDelay(std::vector<double> delays, double toleranceMs)
{
    std::ranges::sort(delays);
    std::vector<double> cluster;
    for (std::size_t i = 0; i < delays.size(); ++i) {
        std::vector<double> near;
        std::ranges::copy_if(delays, std::back_inserter(near),
            [&](double d) { return std::abs(d - delays[i]) <= toleranceMs; });
        if (near.size() > cluster.size()) {
            cluster = near;
        }
    }
    if (cluster.size() < 3 || 2 * cluster.size() < delays.size()) {
        return std::nullopt;
    }
    IntervalEstimate estimate {trace::medianOf(cluster), 0.0};
    double squares = 0.0;
    for (const double delay : cluster) {
        squares += (delay - estimate.ms) * (delay - estimate.ms);
    }
    const double n = static_cast<double>(cluster.size());
    estimate.standardMs = std::sqrt(squares / (n - 1.0) / n);
    return estimate;
}

std::optional<IntervalEstimate> newFrameFromSteps(const TimedTrace& goggle,
    std::span<const CoarseEdge> edges, std::span<const PairedEdge> paired, StepShape onShape,
    StepShape offShape, double stepMs)
{
    constexpr std::size_t answersTried = 30;
    const ShapeTable onTable(onShape, goggle.camera.exposureMs);
    const ShapeTable offTable(offShape, goggle.camera.exposureMs);
    std::vector<double> delays;
    const std::size_t stride = std::max<std::size_t>(1, paired.size() / answersTried);
    for (std::size_t i = 0; i < paired.size(); i += stride) {
        const AnswerWindow window = answerWindow(goggle, edges, paired[i], guessedNewFrameMs);
        const auto& table = window.edge == Edge::On ? onTable : offTable;
        if (const auto two = secondStepDelay(goggle, window, table, stepMs)) {
            delays.push_back(two->delayMs);
        }
    }
    return commonDelay(delays, std::max(1.0, 1.0 * goggle.camera.frameIntervalMs));
}

// The interval at which all two-step answers together fit best, near a first estimate.
IntervalEstimate refinedInterval(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, const Answers& answers, IntervalEstimate estimate)
{
    const ShapeTable onTable(answers.onShape, goggle.camera.exposureMs);
    const ShapeTable offTable(answers.offShape, goggle.camera.exposureMs);
    std::vector<double> delays;
    const double reach = std::max(0.6, 0.6 * goggle.camera.frameIntervalMs);
    for (std::size_t i = 0; i < paired.size(); ++i) {
        const auto& first = answers.fits[i];
        if (!first || first->delayMs == 0.0 || std::abs(first->delayMs - estimate.ms) > 0.5) {
            continue;
        }
        const double share = first->first / first->step();
        if (share < 0.15 || share > 0.85) {
            continue;
        }
        const AnswerWindow window = answerWindow(goggle, edges, paired[i], estimate.ms);
        const auto& table = window.edge == Edge::On ? onTable : offTable;
        double low = estimate.ms - reach;
        double high = estimate.ms + reach;
        const auto squares = [&](double delay) {
            const std::vector<double> one {delay};
            const auto fit = fitAnswer(goggle, window, table, one);
            return fit ? fit->squares : 1e9;
        };
        constexpr double golden = 0.6180339887498949;
        for (int step = 0; step < 12; ++step) {
            const double left = high - golden * (high - low);
            const double right = low + golden * (high - low);
            if (squares(left) < squares(right)) {
                high = right;
            } else {
                low = left;
            }
        }
        delays.push_back(0.5 * (low + high));
    }
    const auto refined = commonDelay(delays, std::max(0.5, 0.5 * goggle.camera.frameIntervalMs));
    return refined.value_or(estimate);
}

std::vector<double> delaysFor(std::optional<double> newFrameMs)
{
    if (!newFrameMs) {
        return {0.0};
    }
    // Twice the interval: the second picture was lost on the way.
    return {0.0, *newFrameMs, 2.0 * *newFrameMs};
}

void fitBothKinds(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, Answers& answers)
{
    const std::vector<double> delays = delaysFor(answers.newFrameMs);
    const double interval = answers.newFrameMs.value_or(guessedNewFrameMs);
    answers.fits.assign(paired.size(), std::nullopt);
    for (const Edge kind : {Edge::On, Edge::Off}) {
        std::vector<AnswerWindow> windows;
        std::vector<std::size_t> which;
        for (std::size_t i = 0; i < paired.size(); ++i) {
            if (edges[paired[i].goggleEdge].edge == kind) {
                windows.push_back(answerWindow(goggle, edges, paired[i], interval));
                which.push_back(i);
            }
        }
        if (windows.empty()) {
            continue;
        }
        const onset::ShapeFit shape = fitShape(goggle, windows, delays);
        for (std::size_t i = 0; i < which.size(); ++i) {
            answers.fits[which[i]] = shape.answers[i];
        }
        (kind == Edge::On ? answers.onShape : answers.offShape) = shape.shape;
        (kind == Edge::On ? answers.onShapeStandardMs : answers.offShapeStandardMs)
            = shape.firstLightStandardMs;
    }
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
        = std::max(half - 1.2 * newFrameMs - 8.0 - interval, paired.referenceMs - interval);
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

Answers fitAnswers(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, std::optional<double> knownNewFrameMs)
{
    Answers answers;
    answers.newFrameMs = knownNewFrameMs;
    std::optional<IntervalEstimate> estimate;
    if (!knownNewFrameMs) {
        const double step = std::clamp(0.5 * goggle.camera.frameIntervalMs, 0.5, 1.5);
        estimate = newFrameFromSteps(goggle, edges, paired, guessedShape, guessedShape, step);
        if (estimate) {
            answers.newFrameMs = estimate->ms;
        }
    }
    fitBothKinds(goggle, edges, paired, answers);
    if (estimate) {
        estimate = refinedInterval(goggle, edges, paired, answers, *estimate);
        answers.newFrameMs = estimate->ms;
        answers.newFrameStandardMs = estimate->standardMs;
        fitBothKinds(goggle, edges, paired, answers);
    }
    return answers;
}

} // namespace twinlamp::measure
