// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/answers.h"

#include "core/measure/answer_cases.h"
#include "core/measure/new_frame_interval.h"

#include <algorithm>
#include <span>

namespace twinlamp::measure {

using onset::AnswerFit;
using onset::AnswerWindow;
using onset::CoarseEdge;
using onset::StepShape;
using onset::TimedTrace;

namespace {

AnswerShapes shapesOf(const Answers& answers)
{
    return {answers.onShape, answers.offShape, answers.firstPictureSlope};
}

// Windows of one edge kind. Answers in one step show the shape at its cleanest: where an earlier
// fit has found enough of them, they alone.
std::vector<AnswerWindow> shapeWindows(const AnswerCases& cases, Edge kind, const Answers& answers)
{
    std::vector<AnswerWindow> all;
    std::vector<AnswerWindow> oneStep;
    for (const std::size_t i : cases.ofKind(kind)) {
        all.push_back(cases.window(i));
        if (i < answers.fits.size() && answers.fits[i]) {
            const AnswerFit& fit = *answers.fits[i];
            const double share = fit.firstShare();
            constexpr double negligible = 0.01;
            if (fit.delayMs == 0.0 || share < negligible || share > 1.0 - negligible) {
                oneStep.push_back(all.back());
            }
        }
    }
    constexpr std::size_t enough = 4;
    return oneStep.size() >= enough ? oneStep : all;
}

// Ramps that are known; the others are fitted.
struct KnownRamps
{
    std::optional<double> onMs;
    std::optional<double> offMs;
};

// The shape that each edge kind shares.
void fitShapes(
    const TimedTrace& goggle, const AnswerCases& cases, const KnownRamps& ramps, Answers& answers)
{
    const std::vector<double> delays = delaysFor(answers.newFrameMs);
    for (const Edge kind : {Edge::On, Edge::Off}) {
        const std::vector<AnswerWindow> windows = shapeWindows(cases, kind, answers);
        if (windows.empty()) {
            continue;
        }
        // On and off of one panel differ little: what fitted one kind is a start for the other.
        const StepShape hint = kind == Edge::On ? answers.offShape : answers.onShape;
        const onset::ShapeFit shape
            = fitShape(goggle, windows, delays, hint, kind == Edge::On ? ramps.onMs : ramps.offMs);
        (kind == Edge::On ? answers.onShape : answers.offShape) = shape.shape;
        (kind == Edge::On ? answers.onShapeStandardMs : answers.offShapeStandardMs)
            = shape.firstLightStandardMs;
        (kind == Edge::On ? answers.onShapeSquares : answers.offShapeSquares) = shape.squares;
    }
}

void fitBothKinds(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, Answers& answers, const KnownRamps& ramps = {})
{
    const AnswerCases cases(goggle, edges, paired, answers.newFrameMs.value_or(guessedNewFrameMs));
    fitShapes(goggle, cases, ramps, answers);
    const std::vector<double> delays = delaysFor(answers.newFrameMs);
    answers.firstPictureSlope
        = answers.newFrameMs ? bestSlope(cases, shapesOf(answers), delays) : 0.0;
    answers.fits = cases.fitsWithOwnDelays(shapesOf(answers), delays);
}

std::vector<TracedAnswer> tracedAnswers(
    const TimedTrace& goggle, std::span<const CoarseEdge> edges, std::span<const PairedEdge> paired)
{
    std::vector<TracedAnswer> answers;
    for (const PairedEdge& pair : paired) {
        answers.push_back({goggle, answerWindow(goggle, edges, pair, guessedNewFrameMs)});
    }
    return answers;
}

// Some answers, spread over the clip.
std::vector<TracedAnswer> someOf(const std::vector<TracedAnswer>& answers)
{
    constexpr std::size_t answersTried = 16;
    std::vector<TracedAnswer> some;
    const std::size_t tried = std::min(answersTried, answers.size());
    for (std::size_t i = 0; i < tried; ++i) {
        some.push_back(answers[i * answers.size() / tried]);
    }
    return some;
}

std::optional<Interval> rhythmNear(
    const std::vector<std::optional<AnswerFit>>& fits, Interval estimate)
{
    std::vector<double> starts;
    for (const auto& fit : fits) {
        if (fit) {
            starts.push_back(fit->startMs);
        }
    }
    constexpr double reach = 0.16;
    return commonRhythm(starts, {(1.0 - reach) * estimate.ms, (1.0 + reach) * estimate.ms});
}

} // namespace

Answers fitAnswers(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, const NewFrameHint& hint,
    const std::shared_ptr<const onset::SweepWeights>& weights)
{
    Answers answers;
    answers.onShape.weights = weights;
    answers.offShape.weights = weights;
    const std::vector<TracedAnswer> traced = tracedAnswers(goggle, edges, paired);
    auto estimate = newFrameFromRhythm(traced);
    answers.newFrameIsRhythm = estimate.has_value();
    // With fewer answers a mended shape looks like a second step.
    constexpr std::size_t fewestAnswers = 4;
    if (!estimate && traced.size() >= fewestAnswers) {
        const StepsEvidence steps = newFrameFromSteps(someOf(traced));
        estimate = steps.interval;
        answers.newFrameIsRhythm = steps.isRhythm;
    }
    if (!estimate) {
        estimate = hint.measured();
    }
    answers.newFrameMs = estimate ? std::optional<double>(estimate->ms) : hint.likelyMs;
    fitBothKinds(goggle, edges, paired, answers);
    if (estimate && !answers.newFrameIsRhythm) {
        const AnswerCases cases(goggle, edges, paired, estimate->ms);
        estimate = refinedInterval(cases, shapesOf(answers), *estimate);
        answers.newFrameMs = estimate->ms;
        fitBothKinds(goggle, edges, paired, answers);
        // Starts fitted with two steps may show the rhythm that rough ones did not.
        if (const auto rhythm = rhythmNear(answers.fits, *estimate)) {
            answers.newFrameIsRhythm = true;
            estimate = *rhythm;
            answers.newFrameMs = estimate->ms;
            fitBothKinds(goggle, edges, paired, answers);
        }
    }
    if (estimate) {
        answers.newFrameStandardMs = estimate->standardMs;
    }
    return answers;
}

void refitWithRamp(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, double rampMs, Answers& answers)
{
    Answers free = answers;
    const AnswerCases cases(goggle, edges, paired, answers.newFrameMs.value_or(guessedNewFrameMs));
    fitShapes(goggle, cases, {}, free);
    Answers again = answers;
    fitBothKinds(goggle, edges, paired, again, {rampMs, rampMs});
    // Fits with a free ramp are never worse; much better ones mean that the ramp is not that.
    constexpr double contradiction = 1.5;
    constexpr double leastNoise = 0.003;
    const double before = free.onShapeSquares + free.offShapeSquares;
    const double after = again.onShapeSquares + again.offShapeSquares;
    const double noise = leastNoise * leastNoise * static_cast<double>(paired.size());
    if (after <= contradiction * before + noise) {
        answers = std::move(again);
    }
}

Answers refitWithExposure(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, Answers answers)
{
    const AnswerCases cases(goggle, edges, paired, answers.newFrameMs.value_or(guessedNewFrameMs));
    fitShapes(goggle, cases, {answers.onShape.rampMs, answers.offShape.rampMs}, answers);
    answers.fits = cases.fits(shapesOf(answers), delaysFor(answers.newFrameMs));
    return answers;
}

} // namespace twinlamp::measure
