// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/answers.h"

#include "core/measure/answer_cases.h"
#include "core/measure/new_frame_interval.h"

#include <algorithm>
#include <array>
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

// What is known of the shapes; the rest is fitted.
struct KnownShape
{
    std::optional<double> onRampMs;
    std::optional<double> offRampMs;
    std::optional<double> slope;
};

// On and off of one panel often respond alike: one response for both, where that explains the
// answers nearly as well as two, is known twice as well.
void poolResponses(const TimedTrace& goggle, const std::vector<AnswerWindow>& on,
    const std::vector<AnswerWindow>& off, const std::vector<double>& delays, double slope,
    Answers& answers)
{
    constexpr double nearly = 1.15;
    constexpr double leastNoise = 0.002;
    const double apart = answers.onShapeSquares + answers.offShapeSquares;
    double best
        = nearly * apart + leastNoise * leastNoise * static_cast<double>(on.size() + off.size());
    const double onTau = answers.onShape.tauMs;
    const double offTau = answers.offShape.tauMs;
    for (const double part : {0.0, 0.25, 0.5, 0.75, 1.0}) {
        StepShape onShape = answers.onShape;
        StepShape offShape = answers.offShape;
        onShape.tauMs = offShape.tauMs = onTau + part * (offTau - onTau);
        const double onSquares = shapeSquares(goggle, on, delays, onShape, slope);
        const double offSquares = shapeSquares(goggle, off, delays, offShape, slope);
        if (onSquares + offSquares < best) {
            best = onSquares + offSquares;
            answers.onShape.tauMs = answers.offShape.tauMs = onShape.tauMs;
            answers.onShapeSquares = onSquares;
            answers.offShapeSquares = offSquares;
        }
    }
}

// The shape that each edge kind shares.
void fitShapes(
    const TimedTrace& goggle, const AnswerCases& cases, const KnownShape& known, Answers& answers)
{
    const std::vector<double> delays = delaysFor(answers.newFrameMs);
    const double slope = known.slope.value_or(0.0);
    std::array<std::vector<AnswerWindow>, 2> windows;
    for (const Edge kind : {Edge::On, Edge::Off}) {
        const bool isOn = kind == Edge::On;
        std::vector<AnswerWindow>& own = windows[isOn ? 0 : 1];
        // With the rows' part known, answers in two steps tell the shape as well.
        own = known.slope ? cases.windowsOf(kind) : shapeWindows(cases, kind, answers);
        if (own.empty()) {
            continue;
        }
        // On and off of one panel differ little: what fitted one kind is a start for the other.
        const StepShape hint = isOn ? answers.offShape : answers.onShape;
        const onset::ShapeFit shape
            = fitShape(goggle, own, delays, hint, isOn ? known.onRampMs : known.offRampMs, slope);
        (isOn ? answers.onShape : answers.offShape) = shape.shape;
        (isOn ? answers.onShapeStandardMs : answers.offShapeStandardMs)
            = shape.firstLightStandardMs;
        (isOn ? answers.onShapeSquares : answers.offShapeSquares) = shape.squares;
    }
    if (known.slope && !windows[0].empty() && !windows[1].empty()) {
        poolResponses(goggle, windows[0], windows[1], delays, slope, answers);
    }
}

void fitBothKinds(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, Answers& answers, const KnownShape& known = {})
{
    const AnswerCases cases(goggle, edges, paired, answers.newFrameMs.value_or(guessedNewFrameMs));
    fitShapes(goggle, cases, known, answers);
    const std::vector<double> delays = delaysFor(answers.newFrameMs);
    answers.firstPictureSlope = known.slope ? *known.slope
        : answers.newFrameMs                ? bestSlope(cases, shapesOf(answers), delays)
                                            : 0.0;
    answers.fits = cases.fitsWithOwnDelays(shapesOf(answers), delays);
}

std::vector<TracedAnswer> tracedAnswers(
    const TimedTrace& goggle, std::span<const CoarseEdge> edges, std::span<const PairedEdge> paired)
{
    std::vector<TracedAnswer> answers;
    for (const PairedEdge& pair : paired) {
        answers.push_back(
            {goggle, answerWindow(goggle, edges, pair, guessedNewFrameMs), pair.referenceMs});
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

std::optional<Interval> rhythmNear(const std::vector<std::optional<AnswerFit>>& fits,
    std::span<const PairedEdge> paired, Interval estimate)
{
    std::vector<double> presses;
    for (const PairedEdge& pair : paired) {
        presses.push_back(pair.referenceMs);
    }
    std::vector<double> starts;
    for (const auto& fit : fits) {
        if (fit) {
            starts.push_back(fit->startMs);
        }
    }
    constexpr double reach = 0.16;
    return commonRhythm(
        starts, {(1.0 - reach) * estimate.ms, (1.0 + reach) * estimate.ms}, presses);
}

// Fits with a free ramp are never worse; much better ones mean that the ramp is not that.
bool contradicts(const Answers& known, const Answers& free, std::size_t answers)
{
    constexpr double muchBetter = 1.5;
    constexpr double leastNoise = 0.003;
    const double before = free.onShapeSquares + free.offShapeSquares;
    const double after = known.onShapeSquares + known.offShapeSquares;
    return after > muchBetter * before + leastNoise * leastNoise * static_cast<double>(answers);
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
    std::optional<Interval> estimate;
    if (const auto rhythm = newFrameFromRhythm(traced, hint.toldMs)) {
        estimate = rhythm->steps;
        answers.newFrameIsRhythm = true;
        answers.isOwnClock = rhythm->isOwnClock;
        answers.linkInterval = rhythm->newFrame;
    }
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
        if (const auto rhythm = rhythmNear(answers.fits, paired, *estimate)) {
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

void refitWithSweep(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, const GoggleSweep& sweep, Answers& answers)
{
    const AnswerCases cases(goggle, edges, paired, answers.newFrameMs.value_or(guessedNewFrameMs));
    // What the rows tell first, then without it: a lamp may be lit unlike the panel around it.
    for (const std::optional<double>& slope : {sweep.slope, std::optional<double>()}) {
        Answers free = answers;
        fitShapes(goggle, cases, {{}, {}, slope}, free);
        Answers again = answers;
        fitBothKinds(goggle, edges, paired, again, {sweep.rampMs, sweep.rampMs, slope});
        if (!contradicts(again, free, paired.size())) {
            answers = std::move(again);
            return;
        }
        if (!slope) {
            return;
        }
    }
}

Answers refitWithExposure(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, Answers answers)
{
    const AnswerCases cases(goggle, edges, paired, answers.newFrameMs.value_or(guessedNewFrameMs));
    fitShapes(
        goggle, cases, {answers.onShape.rampMs, answers.offShape.rampMs, std::nullopt}, answers);
    answers.fits = cases.fits(shapesOf(answers), delaysFor(answers.newFrameMs));
    return answers;
}

} // namespace twinlamp::measure
