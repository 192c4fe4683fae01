// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/press_builder.h"

#include "core/base/coverage.h"
#include "core/measure/clip_doubts.h"
#include "core/measure/latency_parts.h"
#include "core/measure/press_model.h"
#include "core/measure/pulse_answers.h"
#include "core/measure/pulse_removal.h"
#include "core/measure/uncertainty.h"
#include "core/onset/answer_fit.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace twinlamp::measure {

using onset::AnswerFit;
using onset::StepShape;

namespace {

constexpr double ambiguousBelow = 0.9;
constexpr double weakBelowNoises = 12.0;
constexpr float clippedShare = 0.01F;

struct AnswerTimes
{
    double firstMs = 0.0;
    double halfMs = 0.0;
    double settledMs = 0.0;
};

// Start of the change that ends an answer: that of the next edge, or the end of the clip.
double endOfAnswerMs(const PressMaterial& m, std::size_t pairIndex)
{
    const std::size_t next = m.paired[pairIndex].goggleEdge + 1;
    if (pairIndex + 1 < m.paired.size() && m.paired[pairIndex + 1].goggleEdge == next
        && m.answers.fits[pairIndex + 1]) {
        return m.answers.fits[pairIndex + 1]->startMs;
    }
    const auto& edges = m.goggleEdges.edges;
    return next < edges.size() ? m.goggle.startMs[edges[next].frame] : m.goggle.startMs.back();
}

// Share of the model's whole step at its final level: the mean from 2 to 5 new-frame intervals
// after the departure, or what there is up to the next change. A slow panel is not at its end
// there.
double finalShare(const PressMaterial& m, std::size_t pairIndex, const StepShape& shape)
{
    const AnswerFit& fit = *m.answers.fits[pairIndex];
    const double interval = m.answers.newFrameMs.value_or(guessedNewFrameMs);
    const double end = endOfAnswerMs(m, pairIndex);
    double from = fit.startMs + 2.0 * interval;
    const double to = std::min(fit.startMs + 5.0 * interval, end);
    constexpr double shortestMs = 0.5;
    if (to - from < shortestMs) {
        from = std::max(fit.startMs, to - 0.5 * interval);
    }
    return to > from ? meanShare(fit, shape, from, to) : 1.0;
}

// Rows read out one after another stretch or shorten the sweep as the camera sees it; undo that.
AnswerTimes answerTimes(
    const PressMaterial& m, std::size_t pairIndex, const AnswerFit& fit, const StepShape& seen)
{
    const double smear = m.sweepAlong * m.goggle.rows.smearMs;
    const StepShape real {
        std::max(0.0, seen.rampMs + smear), seen.tauMs, seen.weights, seen.overshoot};
    AnswerFit shifted = fit;
    shifted.startMs -= 0.5 * (real.rampMs - seen.rampMs);
    const double whole = finalShare(m, pairIndex, seen);
    return {crossingMs(shifted, real, 0.1 * whole), crossingMs(shifted, real, 0.5 * whole),
        crossingMs(shifted, real, 0.9 * whole)};
}

// A change that hides between two exposures, and frames lost, leave a stretch of starts that
// explain the rest equally well: its middle is least wrong.
double middleOfDoubtMs(const AnswerFit& fit)
{
    return 0.5 * (fit.earliestMs + fit.latestMs) - fit.startMs;
}

// Of first light, from the doubt of the answer's start.
double startStandardMs(const AnswerFit& fit)
{
    return std::max(correlatedNoiseFactor * fit.startStandardMs,
        (fit.latestMs - fit.earliestMs) / std::sqrt(12.0));
}

// Frames lost shortly before first light may have held a first picture of their own.
double lostFramesStandardMs(const PressMaterial& m, double firstMs)
{
    const double interval = m.answers.newFrameMs.value_or(guessedNewFrameMs);
    double standard = 0.0;
    for (const std::size_t after : m.input.framesAfterGaps) {
        const double gapEnd = m.goggle.startMs[after] + m.goggle.rows.meanRowMs();
        const double gapStart
            = m.goggle.startMs[after - 1] + m.goggle.rows.meanRowMs() + m.goggle.camera.exposureMs;
        if (gapStart < firstMs && gapEnd > firstMs - interval - m.input.frameIntervalMs) {
            standard = std::max(standard, (firstMs - gapStart) / coverageFactor95);
        }
    }
    return standard;
}

// Pulses too fast to be seen one by one leave open when in a period the light was there.
double hiddenPulseStandardMs(const PressMaterial& m)
{
    return m.gogglePulses != nullptr
        ? 0.5 * std::min(m.gogglePulses->periodMs, 3.0 * m.input.frameIntervalMs) / std::sqrt(3.0)
        : 0.0;
}

// With a frame or two to each picture two steps explain anything, and no residual says so: first
// light is known to the frame, as if it were counted (rectangular, JCGM 100:2008, 4.3.7).
double fewFramesStandardMs(const PressMaterial& m)
{
    return hasFewFrames(m.input.frameIntervalMs, m.answers.newFrameMs)
        ? m.input.frameIntervalMs / std::sqrt(12.0)
        : 0.0;
}

// Share of the goggle region at the end of the code range while its lamp is lit.
float clippedShareOf(const PressMaterial& m, const onset::CoarseEdge& edge)
{
    if (m.input.goggleHigh.empty()) {
        return 0.0F;
    }
    // A first picture that is lit by half is not clipped, the next one is.
    const auto reach = static_cast<std::size_t>(guessedNewFrameMs / m.input.frameIntervalMs) + 3;
    const std::size_t frames = m.goggle.frameCount();
    const bool isOn = edge.edge == Edge::On;
    const std::size_t first = isOn ? edge.frame : edge.frame - std::min(edge.frame, reach);
    const std::size_t last = isOn ? std::min(edge.frame + reach, frames) : edge.frame;
    float most = 0.0F;
    for (std::size_t k = first; k < last; ++k) {
        most = std::max(most, m.input.goggleHigh[k]);
    }
    return most;
}

// A clipped lamp is brighter than it looks: on, a tenth of its step comes later than it seems; off,
// what it loses first does not show, at worst a whole first picture.
double clippedStandardMs(const PressMaterial& m, const onset::CoarseEdge& edge,
    const AnswerFit& fit, const AnswerTimes& times)
{
    const float share = clippedShareOf(m, edge);
    if (share <= clippedShare) {
        return 0.0;
    }
    const double span = edge.edge == Edge::On ? times.settledMs - times.firstMs
                                              : m.answers.newFrameMs.value_or(guessedNewFrameMs);
    // As far as clipped pixels make the step.
    const double ofStep = static_cast<double>(share) / std::max(1e-6, std::abs(fit.step()));
    return std::min(1.0, 2.0 * ofStep) * std::max(span, m.input.frameIntervalMs) / std::sqrt(3.0);
}

struct ExposureEffect
{
    std::vector<double> onsetShiftMs; ///< per lamp edge, for one standard deviation of exposure
    std::vector<double> answerShiftMs; ///< per paired edge
};

// Times all edges again with the exposure one standard deviation shorter.
ExposureEffect exposureEffect(const PressMaterial& m)
{
    ExposureEffect effect;
    effect.onsetShiftMs.assign(m.lamp.onsets.size(), 0.0);
    effect.answerShiftMs.assign(m.paired.size(), 0.0);
    if (!m.lamp.exposure) {
        return effect;
    }
    onset::TimedTrace reference = m.reference;
    onset::TimedTrace goggle = m.goggle;
    const double exposure = std::max(0.02 * reference.camera.frameIntervalMs,
        reference.camera.exposureMs - m.lamp.exposure->standardMs);
    reference.camera.exposureMs = exposure;
    goggle.camera.exposureMs = exposure;
    const auto again = timeAgain(reference, m.lamp);
    for (std::size_t i = 0; i < again.size(); ++i) {
        if (again[i] && m.lamp.onsets[i].onset) {
            effect.onsetShiftMs[i] = again[i]->timeMs - m.lamp.onsets[i].onset->timeMs;
        }
    }
    if (m.pulseAnswers != nullptr) {
        return effect;
    }
    const Answers other = refitWithExposure(goggle, m.goggleEdges.edges, m.paired, m.answers);
    for (std::size_t i = 0; i < m.paired.size(); ++i) {
        const auto& fit = m.answers.fits[i];
        if (!fit || !other.fits[i]) {
            continue;
        }
        const bool isOn = m.goggleEdges.edges[m.paired[i].goggleEdge].edge == Edge::On;
        const double shift = crossingMs(*other.fits[i], isOn ? other.onShape : other.offShape, 0.1)
            - crossingMs(*fit, isOn ? m.answers.onShape : m.answers.offShape, 0.1);
        // Another choice between one step and two says nothing about the exposure.
        effect.answerShiftMs[i]
            = std::clamp(shift, -goggle.camera.frameIntervalMs, goggle.camera.frameIntervalMs);
    }
    return effect;
}

bool isNear(const std::vector<std::size_t>& frames, std::size_t first, std::size_t last)
{
    return std::ranges::any_of(frames, [&](std::size_t k) { return k >= first && k <= last; });
}

bool hasMissing(std::span<const float> light, std::size_t first, std::size_t last)
{
    for (std::size_t k = first; k < std::min(last, light.size()); ++k) {
        if (!std::isfinite(light[k])) {
            return true;
        }
    }
    return false;
}

void flagReference(const PressMaterial& m, const LampOnset& lamp, Press& press)
{
    if (lamp.clipped) {
        addFlag(press.flags, Flag::ReferenceClipped);
    }
    if (lamp.onset && lamp.onset->stepNoises < weakBelowNoises) {
        addFlag(press.flags, Flag::ReferenceWeak);
    }
    if (m.lamp.pulses) {
        addFlag(press.flags, Flag::LampModulated);
    }
    if (lamp.onset && lamp.onset->inGap) {
        addFlag(press.flags, Flag::OnsetInGap);
    }
    if (m.lamp.response(lamp.edge.edge).isSlow()) {
        addFlag(press.flags, Flag::LampSlow);
    }
    constexpr std::size_t reach = 2;
    const std::size_t first = lamp.edge.frame - std::min(lamp.edge.frame, reach);
    if (isNear(m.input.framesAfterGaps, first, lamp.edge.frame + 1)) {
        addFlag(press.flags, Flag::LostFrames);
    }
    if (hasMissing(m.input.reference, first, lamp.edge.frame + reach)) {
        addFlag(press.flags, Flag::DamagedFrames);
    }
    if (lamp.edge.frame < 3 || lamp.edge.frame + 3 > m.reference.frameCount()) {
        addFlag(press.flags, Flag::ClipEdge);
    }
}

/// What one answer says, however it was timed.
struct Answered
{
    AnswerTimes times;
    double before = 0.0;
    double after = 0.0;
    double noise = 0.0; ///< of one frame
    double firstStandardMs = 0.0; ///< differs from press to press
    std::optional<double> firstDegrees;
    double shapeStandardMs = 0.0; ///< common to all
    double exposureShiftMs = 0.0;
    ModelStretch model;
    bool firstPictureFaint = false; ///< first light may come with the next picture
};

// A doubt of the first picture's share that holds the next picture as well.
bool isFirstPictureFaint(const AnswerFit& fit, double firstPictureStandardMs)
{
    return fit.delayMs > 0.0 && coverageFactor95 * firstPictureStandardMs > 0.5 * fit.delayMs;
}

// The link's pictures of a lamp dimmed by pulses differ by the pulses that each one caught: one
// that shows a little less, or a little light, need not be the first new one. Up to a third of the
// step: judged, for a picture that catches three pulses or more.
double dimmedPictureStandardMs(const PressMaterial& m, const AnswerFit& fit)
{
    constexpr double mostOfStep = 1.0 / 3.0;
    return m.lamp.pulses && fit.delayMs > 0.0 && fit.firstShare() < mostOfStep
        ? fit.delayMs / coverageFactor95
        : 0.0;
}

// Not knowing the shape is more than half of the variance, and worth a tenth of a frame.
bool isShapeUnclear(const PressMaterial& m, const Answered& answered, const Press& press)
{
    constexpr double worthAWord = 0.1; // of a frame interval
    const double all = combinedStandardMs(press.parts);
    return answered.shapeStandardMs > worthAWord * m.input.frameIntervalMs
        && answered.shapeStandardMs * answered.shapeStandardMs > 0.5 * all * all;
}

Answered answeredByFit(const PressMaterial& m, std::size_t pairIndex, Edge edge, double shiftMs)
{
    const AnswerFit& fit = *m.answers.fits[pairIndex];
    const StepShape& shape = edge == Edge::On ? m.answers.onShape : m.answers.offShape;
    AnswerTimes times = answerTimes(m, pairIndex, fit, shape);
    const double middle = middleOfDoubtMs(fit);
    times = {times.firstMs + middle, times.halfMs + middle, times.settledMs + middle};
    const double firstPicture
        = std::max(firstPictureStandardMs(fit, shape, m.input.frameIntervalMs),
            dimmedPictureStandardMs(m, fit));
    ModelStretch model = modelOfAnswer(m.goggle,
        answerWindow(m.goggle, m.goggleEdges.edges, m.paired[pairIndex],
            m.answers.newFrameMs.value_or(guessedNewFrameMs)),
        fit, shape);
    if (m.gogglePulses != nullptr) {
        putPulsesBack(m.goggle, *m.gogglePulses, model);
    }
    const double lost = lostFramesStandardMs(m, times.firstMs);
    const double clipped
        = clippedStandardMs(m, m.goggleEdges.edges[m.paired[pairIndex].goggleEdge], fit, times);
    return {times, fit.before, fit.after(), fit.residual(),
        std::hypot(std::hypot(startStandardMs(fit), firstPicture),
            std::hypot(hiddenPulseStandardMs(m), clipped),
            std::hypot(lost, fewFramesStandardMs(m))),
        std::max(1.0, static_cast<double>(fit.frames) - 4.0),
        edge == Edge::On ? m.answers.onShapeStandardMs : m.answers.offShapeStandardMs, shiftMs,
        std::move(model), isFirstPictureFaint(fit, firstPicture)};
}

Answered answeredByPulses(
    const PressMaterial& m, std::size_t pairIndex, const onset::PulseAnswer& answer)
{
    ModelStretch model = modelOfPulses(m.goggle,
        pulseWindow(m.goggle, m.goggleEdges.edges, m.paired[pairIndex], m.gogglePulses->periodMs),
        answer);
    putPulsesBack(m.goggle, *m.gogglePulses, model);
    return {{answer.firstMs, answer.halfMs, answer.settledMs}, answer.before, answer.after,
        answer.noise, answer.standardMs, std::nullopt, 0.0, 0.0, std::move(model), false};
}

std::vector<UncertaintyPart> partsOf(const PressMaterial& m, const LampOnset& lamp,
    const Answered& answered, double onsetShiftMs, double latencyMs)
{
    LatencyDoubts doubts;
    doubts.latencyMs = latencyMs;
    doubts.frameIntervalMs = m.input.frameIntervalMs;
    doubts.referenceMs = lamp.onset->standardMs;
    doubts.firstLightMs = answered.firstStandardMs;
    doubts.firstLightDegrees = answered.firstDegrees;
    doubts.shapeMs = answered.shapeStandardMs;
    doubts.shapeDegrees = std::max(1.0, static_cast<double>(m.paired.size()) - 2.0);
    doubts.exposureMs = answered.exposureShiftMs - onsetShiftMs;
    if (m.lamp.exposure) {
        doubts.exposureDegrees = std::max(1.0, static_cast<double>(m.lamp.exposure->edges) - 1.0);
    }
    constexpr double msPerUs = 1e-3;
    doubts.lineTimeMs = msPerUs * m.lineTime.standardUs
        * rowsBetween(m.input.referenceStored, m.input.goggleStored);
    doubts.lineTimeDegrees = m.lineTime.degrees;
    doubts.lampResponseMs = m.lamp.response(lamp.edge.edge).standardMs;
    return latencyParts(doubts, m.options);
}

void flagAnswer(
    const PressMaterial& m, std::size_t pairIndex, const Answered& answered, Press& press)
{
    const onset::CoarseEdge& edge = m.goggleEdges.edges[m.paired[pairIndex].goggleEdge];
    if (m.gogglePulses != nullptr) {
        addFlag(
            press.flags, m.pulseAnswers != nullptr ? Flag::PanelStrobed : Flag::StrobeUnresolved);
    }
    if (std::abs(answered.after - answered.before) < weakBelowNoises * answered.noise) {
        addFlag(press.flags, Flag::GoggleWeak);
    }
    if (clippedShareOf(m, edge) > clippedShare) {
        addFlag(press.flags, Flag::GoggleClipped);
    }
    if (answered.firstPictureFaint) {
        addFlag(press.flags, Flag::FirstPictureFaint);
    }
    if (isShapeUnclear(m, answered, press)) {
        addFlag(press.flags, Flag::ShapeUnclear);
    }
    const auto& edges = m.goggleEdges.edges;
    const std::size_t next = m.paired[pairIndex].goggleEdge + 1;
    const double settleMs = 2.0 * m.answers.newFrameMs.value_or(20.0);
    const double until
        = next < edges.size() ? m.goggle.startMs[edges[next].frame] : m.goggle.startMs.back();
    if (until - answered.times.firstMs < settleMs) {
        addFlag(press.flags, next < edges.size() ? Flag::NotSettled : Flag::ClipEdge);
    }
    constexpr std::size_t reach = 3;
    const std::size_t first = edge.frame - std::min(edge.frame, reach);
    if (isNear(m.input.framesAfterGaps, first, edge.frame + reach)) {
        addFlag(press.flags, Flag::LostFrames);
    }
    if (hasMissing(m.input.goggle, first, edge.frame + reach)) {
        addFlag(press.flags, Flag::DamagedFrames);
    }
}

void addAnswer(const PressMaterial& m, std::size_t pairIndex, Answered answered,
    const LampOnset& lamp, double onsetShiftMs, Press& press)
{
    press.goggleBefore = answered.before;
    press.goggleAfter = answered.after;
    press.goggleModel = std::move(answered.model);
    press.firstLight = realTimeFromMs(answered.times.firstMs);
    press.halfLight = realTimeFromMs(answered.times.halfMs);
    press.settled = realTimeFromMs(answered.times.settledMs);
    const double latencyMs = answered.times.firstMs - lamp.onset->timeMs - m.options.zeroMs;
    press.latency = latencyFromMs(latencyMs);
    press.parts = partsOf(m, lamp, answered, onsetShiftMs, latencyMs);
    press.uncertainty = latencyFromMs(halfWidth95Ms(press.parts));
    flagAnswer(m, pairIndex, answered, press);
    // No link answers before it is asked: what was taken for an answer was something else.
    if (latencyMs + toMs(*press.uncertainty) < -m.input.frameIntervalMs) {
        setAside(press, Flag::AmbiguousPairing);
    }
}

// How the answer of a paired edge was timed, if it was.
std::optional<Answered> answeredBy(
    const PressMaterial& m, std::size_t pairIndex, Edge edge, double exposureShiftMs)
{
    if (m.pulseAnswers != nullptr) {
        const auto& answer = (*m.pulseAnswers)[pairIndex];
        return answer ? std::optional(answeredByPulses(m, pairIndex, *answer)) : std::nullopt;
    }
    return m.answers.fits[pairIndex]
        ? std::optional(answeredByFit(m, pairIndex, edge, exposureShiftMs))
        : std::nullopt;
}

// Time from this lamp edge to the next, or to the end of the clip.
double holdMs(const PressMaterial& m, std::size_t i)
{
    const std::size_t here = m.lamp.onsets[i].edge.frame;
    const std::size_t there = i + 1 < m.lamp.onsets.size() ? m.lamp.onsets[i + 1].edge.frame
                                                           : m.reference.frameCount() - 1;
    return m.reference.startMs[there] - m.reference.startMs[here];
}

void flagNoAnswer(const PressMaterial& m, std::size_t i, Press& press)
{
    const bool lastHold = i + 1 == m.lamp.onsets.size();
    const double before = i > 0 ? holdMs(m, i - 1) : 1e9;
    const double linkFrame = m.answers.newFrameMs.value_or(1000.0 / 60.0);
    if (lastHold && holdMs(m, i) < m.options.searchMs) {
        // The clip ends before the answer had its time: that says nothing about the link.
        setAside(press, Flag::ClipEdge);
        return;
    }
    addFlag(press.flags, Flag::NoResponse);
    if (std::min(before, lastHold ? 1e9 : holdMs(m, i)) < linkFrame) {
        setAside(press, Flag::TooShortForLink);
    }
}

} // namespace

double sweepAlongRows(int rotationDeg, double lineTimeMs)
{
    // A panel is scanned from its top row down (as seen upright) unless it shows otherwise.
    const double rows = lineTimeMs > 0.0 ? 1.0 : lineTimeMs < 0.0 ? -1.0 : 0.0;
    return rotationDeg == 0 ? rows : rotationDeg == 180 ? -rows : 0.0;
}

std::vector<Press> buildPresses(const PressMaterial& m)
{
    const ExposureEffect effect = exposureEffect(m);
    std::vector<Press> presses;
    std::size_t pairIndex = 0;
    for (std::size_t i = 0; i < m.lamp.onsets.size(); ++i) {
        const LampOnset& lamp = m.lamp.onsets[i];
        Press press;
        press.index = static_cast<int>(i);
        press.edge = lamp.edge.edge;
        flagReference(m, lamp, press);
        if (lamp.onset) {
            press.reference = realTimeFromMs(lamp.onset->timeMs);
            press.referenceBefore = lamp.onset->before.light;
            press.referenceAfter = lamp.onset->after.light;
            press.referenceModel = modelOfLampEdge(m.reference, m.lamp, i);
        }
        const bool answered = m.partners[i].answer && lamp.onset;
        auto timed = answered
            ? answeredBy(m, pairIndex, press.edge, effect.answerShiftMs[pairIndex])
            : std::nullopt;
        if (timed) {
            addAnswer(m, pairIndex, std::move(*timed), lamp, effect.onsetShiftMs[i], press);
        } else {
            flagNoAnswer(m, i, press);
        }
        pairIndex += answered ? 1 : 0;
        if (m.partners[i].probability < ambiguousBelow) {
            setAside(press, Flag::AmbiguousPairing);
        }
        presses.push_back(std::move(press));
    }
    return presses;
}

} // namespace twinlamp::measure
