// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/clip_analysis.h"

#include "core/base/coverage.h"
#include "core/base/wire_names.h"
#include "core/measure/answers.h"
#include "core/measure/clip_doubts.h"
#include "core/measure/lamp_onsets.h"
#include "core/measure/lamp_profile.h"
#include "core/measure/line_time.h"
#include "core/measure/pairing.h"
#include "core/measure/panel_figures.h"
#include "core/measure/panel_interval.h"
#include "core/measure/press_builder.h"
#include "core/measure/pulse_answers.h"
#include "core/measure/pulse_panel.h"
#include "core/measure/pulse_removal.h"
#include "core/measure/pulse_sweep.h"
#include "core/trace/bridged_pulses.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::measure {

using onset::TimedTrace;

namespace {

// Time within which the goggle's answer is complete: two pictures of a slow link and a slow panel's
// response.
constexpr double answerLagMs = 30.0;

struct Traces
{
    TimedTrace reference;
    TimedTrace goggle;
};

void correctRows(const AnalysisInput& input, double lineTimeUs, Traces& traces)
{
    traces.reference.camera.lineTimeMs = lineTimeUs * 1e-3;
    traces.goggle.camera.lineTimeMs = lineTimeUs * 1e-3;
    traces.reference.rows = regionTiming(traces.reference.camera, input.referenceStored);
    traces.goggle.rows = regionTiming(traces.goggle.camera, input.goggleStored);
}

Traces makeTraces(const AnalysisInput& input, const MeasureOptions& options)
{
    rig::CameraTiming camera;
    camera.frameIntervalMs = input.frameIntervalMs;
    camera.exposureMs = std::min(options.exposureMs.value_or(0.0), input.frameIntervalMs);
    camera.storedRows = input.storedRows;
    Traces traces {
        {input.reference, input.startMs, camera, {}}, {input.goggle, input.startMs, camera, {}}};
    correctRows(input, options.lineTimeUs.value_or(0.0), traces);
    return traces;
}

/// Light of the reference lamp as if nothing pulsed in it.
struct SteadyLamp
{
    std::optional<LampPulses> pulses; ///< empty: nothing dims it by pulses
    std::vector<float> light; ///< empty: as it is
};

SteadyLamp steadyLamp(const TimedTrace& reference)
{
    auto free = freeFromPulses(reference);
    auto bridged
        = trace::bridgePulses(reference.light, reference.startMs, reference.camera.frameIntervalMs);
    const bool isFolded = free && !free->pulses.isResolved;
    // What keeps one phase through the clip, as a rest of the room's flicker does, is divided out;
    // a dimmer's pulses begin anew with each press, and dividing makes switchings of them.
    if (isFolded && (!bridged || lampEdgeCount(free->light) <= lampEdgeCount(bridged->light))) {
        constexpr double dimmerSwing = 0.25;
        const bool isDimmer = free->pulses.swing() > dimmerSwing;
        return {isDimmer ? std::optional(LampPulses {}) : std::nullopt, std::move(free->light)};
    }
    if (bridged) {
        return {LampPulses {bridged->depth, bridged->darkMs}, std::move(bridged->light)};
    }
    return {};
}

/// The reference lamp as it is timed, under the line time that it tells where nobody else does.
struct Lamp
{
    LampOnsets onsets;
    LineTimeFigure lineTime;
};

// Rows tell the exposure where somebody else tells the line time: a lamp tells only the one against
// the other.
std::vector<LampLine> tellingLines(const AnalysisInput& input, const MeasureOptions& options)
{
    if (!options.lineTimeUs || !input.referenceLines) {
        return {};
    }
    return linesApart(
        input.referenceStored, input.referenceLines->rows, input.referenceLines->light);
}

Lamp timeLamp(const AnalysisInput& input, const MeasureOptions& options,
    std::optional<LampPulses> pulses, Traces& traces)
{
    Lamp lamp;
    lamp.onsets
        = lampOnsets(traces.reference, input.referenceHigh, tellingLines(input, options), pulses);
    lamp.lineTime = lineTimeFigure(input, options, traces.reference, lamp.onsets);
    if (lamp.lineTime.source == LineTimeSource::Estimated) {
        correctRows(input, lamp.lineTime.lineTimeUs, traces);
        if (lamp.onsets.exposure) {
            traces.reference.camera.exposureMs = 0.0; // estimated anew
        }
        lamp.onsets = lampOnsets(traces.reference, input.referenceHigh, {}, pulses);
    }
    return lamp;
}

std::vector<Partner> partners(
    const Traces& traces, const LampOnsets& lamp, const onset::EdgeSearch& goggle, double searchMs)
{
    std::vector<TimedEdge> lampTimes;
    for (const LampOnset& onset : lamp.onsets) {
        const double coarse
            = traces.reference.startMs[onset.edge.frame] + traces.reference.rows.meanRowMs();
        lampTimes.push_back({onset.edge.edge, onset.onset ? onset.onset->timeMs : coarse});
    }
    std::vector<TimedEdge> goggleTimes;
    for (const onset::CoarseEdge& edge : goggle.edges) {
        goggleTimes.push_back(
            {edge.edge, traces.goggle.startMs[edge.frame] + traces.goggle.rows.meanRowMs()});
    }
    PairingOptions pairing;
    pairing.earliestMs = -traces.goggle.camera.frameIntervalMs;
    pairing.searchMs = searchMs;
    return pairEdges(lampTimes, goggleTimes, pairing);
}

std::vector<PairedEdge> pairedEdges(const LampOnsets& lamp, const std::vector<Partner>& partners)
{
    std::vector<PairedEdge> paired;
    for (std::size_t i = 0; i < partners.size(); ++i) {
        if (partners[i].answer && lamp.onsets[i].onset) {
            paired.push_back({*partners[i].answer, lamp.onsets[i].onset->timeMs});
        }
    }
    return paired;
}

bool isWanted(Edge edge, EdgeChoice choice)
{
    return choice == EdgeChoice::Both || (edge == Edge::On) == (choice == EdgeChoice::On);
}

void keepWanted(EdgeChoice choice, std::vector<Press>& presses)
{
    std::erase_if(presses, [&](const Press& press) { return !isWanted(press.edge, choice); });
    for (std::size_t i = 0; i < presses.size(); ++i) {
        presses[i].index = static_cast<int>(i);
    }
}

void tellExposure(
    const MeasureOptions& options, const LampOnsets& lamp, double exposureMs, Analysis& analysis)
{
    // Enough edges to tell an exposure: with eight, its share is known to one eighth or so.
    constexpr std::size_t tellingEdges = 8;
    analysis.exposureSource = options.exposureMs                ? ExposureSource::Given
        : lamp.exposure && lamp.exposure->edges >= tellingEdges ? ExposureSource::Estimated
                                                                : ExposureSource::Unknown;
    if (analysis.exposureSource != ExposureSource::Unknown) {
        analysis.exposureMs = exposureMs;
    }
}

NewFrameHint newFrameHint(const AnalysisInput& input, const MeasureOptions& options,
    const std::optional<panel::MotionRhythm>& motion, const TimedTrace& goggle,
    std::span<const onset::CoarseEdge> edges, std::span<const PairedEdge> paired)
{
    NewFrameHint hint;
    if (options.linkFrameRate) {
        hint.toldMs = options.linkFrameRate->intervalMs();
    }
    if (motion) {
        hint.likelyMs = motion->newFrameMs;
    } else if (options.linkFrameRate) {
        hint.likelyMs = options.linkFrameRate->intervalMs();
    }
    if (input.panel && !motion) {
        hint.measured = [&input, &goggle, edges, paired] {
            return newFrameFromPanel(*input.panel, goggle, edges, paired);
        };
    }
    return hint;
}

// What an unknown line time may hide between the lamps; empty where it is not worth a word.
std::optional<double> hiddenSkewMs(const AnalysisInput& input, const LineTimeFigure& lineTime)
{
    constexpr double msPerUs = 1e-3;
    constexpr double worthAWord = 0.02; // of a frame interval
    const double skewMs = coverageFactor95 * msPerUs * lineTime.standardUs
        * rowsBetween(input.referenceStored, input.goggleStored);
    return lineTime.source == LineTimeSource::Unknown && skewMs > worthAWord * input.frameIntervalMs
        ? std::optional(skewMs)
        : std::nullopt;
}

void tellLineTime(const AnalysisInput& input, const LineTimeFigure& lineTime, Analysis& analysis)
{
    analysis.lineTimeSource = lineTime.source;
    if (lineTime.source != LineTimeSource::Unknown) {
        analysis.lineTimeUs = lineTime.lineTimeUs;
    }
    if (lineTime.source == LineTimeSource::Estimated) {
        analysis.notes.push_back(
            {"line-time-estimated", {fmt::format("{:.2f}", lineTime.lineTimeUs)}});
    }
    const auto skewMs = hiddenSkewMs(input, lineTime);
    if (skewMs && !analysis.presses.empty()) {
        const double rows = rowsBetween(input.referenceStored, input.goggleStored);
        analysis.notes.push_back(
            {"line-time-unknown", {fmt::format("{:.0f}", rows), fmt::format("{:.2f}", *skewMs)}});
    }
}

void tellSlowLamp(const LampOnsets& lamp, Analysis& analysis)
{
    for (const Edge edge : {Edge::On, Edge::Off}) {
        const onset::LampResponse& response = lamp.response(edge);
        if (response.isSlow()) {
            analysis.notes.push_back({"lamp-slow",
                {std::string(wireName(edge)), fmt::format("{:.0f}", 100.0 * response.tailShare),
                    fmt::format("{:.2f}", response.tauMs)}});
        }
    }
}

void addNotes(const MeasureOptions& options, Analysis& analysis)
{
    if (analysis.exposureSource == ExposureSource::Estimated) {
        analysis.notes.push_back(
            {"exposure-estimated", {fmt::format("{:.3f}", *analysis.exposureMs)}});
    } else if (analysis.exposureSource == ExposureSource::Unknown) {
        analysis.notes.push_back({"exposure-unknown", {}});
    }
    if (options.zeroMs == 0.0 && options.zeroUncertaintyMs == 0.0
        && options.fromRig.zeroCheckDate.empty()) {
        analysis.notes.push_back({"no-zero-check", {}});
    }
}

void noteOnOffDifference(Analysis& analysis)
{
    std::vector<double> on;
    std::vector<double> off;
    for (const Press& press : analysis.presses) {
        if (press.accepted && press.latency) {
            (press.edge == Edge::On ? on : off).push_back(toMs(*press.latency));
        }
    }
    constexpr std::size_t fewest = 5;
    constexpr double worthANoteMs = 2.0;
    if (on.size() >= fewest && off.size() >= fewest) {
        const double difference = trace::medianOf(off) - trace::medianOf(on);
        if (std::abs(difference) > worthANoteMs) {
            analysis.notes.push_back({"on-off-differ", {fmt::format("{:.1f}", difference)}});
        }
    }
}

/// Edges of both lamps, matched.
struct Matched
{
    const Traces& traces;
    const LampOnsets& lamp;
    const LineTimeFigure& lineTime;
    const onset::EdgeSearch& goggle;
    const std::vector<Partner>& partners;
    const std::vector<PairedEdge>& paired;
    const trace::PulseLight* gogglePulses;
};

PressMaterial materialOf(const AnalysisInput& input, const MeasureOptions& options,
    const Matched& matched, const Answers& answers)
{
    const Traces& traces = matched.traces;
    return {input, options, traces.reference, traces.goggle, matched.lamp, matched.goggle,
        matched.partners, matched.paired, answers,
        sweepAlongRows(input.rotationDeg, traces.goggle.camera.lineTimeMs), matched.lineTime,
        matched.gogglePulses};
}

// Frames at which no answer of the goggle is under way. What changed since the one before is not
// known of frames behind a missing one.
std::vector<bool> quietFrames(const TimedTrace& goggle, std::span<const onset::CoarseEdge> edges,
    std::span<const float> asRead)
{
    constexpr double beforeHalfMs = 25.0;
    constexpr double afterHalfMs = 45.0;
    std::vector<bool> quiet(goggle.frameCount(), true);
    for (const onset::CoarseEdge& edge : edges) {
        const double half = goggle.startMs[edge.frame];
        const auto first = std::ranges::lower_bound(goggle.startMs, half - beforeHalfMs);
        const auto last = std::ranges::lower_bound(goggle.startMs, half + afterHalfMs);
        std::fill(quiet.begin() + (first - goggle.startMs.begin()),
            quiet.begin() + (last - goggle.startMs.begin()), false);
    }
    for (std::size_t k = 1; k < quiet.size(); ++k) {
        quiet[k] = quiet[k] && std::isfinite(asRead[k] - asRead[k - 1]);
    }
    return quiet;
}

void takePanel(PanelFigures figures, Analysis& analysis)
{
    analysis.panelTiming = std::move(figures.timing);
    std::ranges::move(figures.notes, std::back_inserter(analysis.notes));
    if (analysis.panelTiming && !panelDoubts(*analysis.panelTiming).empty()) {
        analysis.notes.push_back({"panel-one-sign", {}});
    }
}

void flagDoubts(const AnalysisInput& input, const MeasureOptions& options,
    const LineTimeFigure& lineTime, Analysis& analysis)
{
    ClipDoubts doubts;
    doubts.exposureUnknown = analysis.exposureSource == ExposureSource::Unknown;
    doubts.rowSkewInside = hiddenSkewMs(input, lineTime).has_value();
    doubts.frameIntervalMs = input.frameIntervalMs;
    if (analysis.panelTiming && analysis.panelTiming->newFrameInterval) {
        doubts.newFrameMs = toMs(*analysis.panelTiming->newFrameInterval);
    } else if (options.linkFrameRate) {
        doubts.newFrameMs = options.linkFrameRate->intervalMs();
    }
    flagClipDoubts(doubts, analysis.presses);
}

void timeByFits(const AnalysisInput& input, const MeasureOptions& options, const Matched& matched,
    Analysis& analysis)
{
    const TimedTrace& goggle = matched.traces.goggle;
    const auto& edges = matched.goggle.edges;
    const auto& read = input.panelAsRead ? input.panelAsRead : input.panel;
    analysis.ground.quiet = quietFrames(goggle, edges, input.goggle);
    const auto motion
        = read ? panel::motionRhythm(*read, input.startMs, analysis.ground.quiet) : std::nullopt;
    Answers answers = fitAnswers(goggle, edges, matched.paired,
        newFrameHint(input, options, motion, goggle, edges, matched.paired),
        input.goggleCells ? sweepWeights(*input.goggleCells, goggle, edges, matched.paired)
                          : nullptr);
    for (const PairedEdge& pair : matched.paired) {
        const auto window
            = answerWindow(goggle, edges, pair, answers.newFrameMs.value_or(guessedNewFrameMs));
        analysis.ground.answerWindows.push_back({{static_cast<std::int64_t>(window.firstFrame)},
            {static_cast<std::int64_t>(window.lastFrame)}});
    }
    PressMaterial material = materialOf(input, options, matched, answers);
    analysis.presses = buildPresses(material);
    if (!input.panel) {
        return;
    }
    PanelFigures figures = panelFigures(material, motion, analysis.presses);
    if (figures.goggleSweep) {
        material.sweepAlong = figures.sweepAlong;
        refitWithSweep(goggle, edges, matched.paired, *figures.goggleSweep, answers);
        analysis.presses = buildPresses(material);
        figures = panelFigures(material, motion, analysis.presses);
    }
    takePanel(std::move(figures), analysis);
}

void timeByPulses(const AnalysisInput& input, const MeasureOptions& options, const Matched& matched,
    Analysis& analysis)
{
    const Answers none;
    PressMaterial material = materialOf(input, options, matched, none);
    const auto answers = pulseAnswers(
        matched.traces.goggle, *matched.gogglePulses, matched.goggle.edges, matched.paired);
    material.pulseAnswers = &answers;
    analysis.presses = buildPresses(material);
    if (input.panel) {
        takePanel(pulsePanelFigures(material, analysis.presses), analysis);
    }
}

} // namespace

Analysis analyseClip(const AnalysisInput& given, const MeasureOptions& options)
{
    Analysis analysis;
    Traces traces = makeTraces(given, options);
    const SteadyLamp steady = steadyLamp(traces.reference);
    if (!steady.light.empty()) {
        traces.reference.light = steady.light;
    }
    const Lamp timed = timeLamp(given, options, steady.pulses, traces);
    const LampOnsets& lamp = timed.onsets;
    tellExposure(options, lamp, traces.reference.camera.exposureMs, analysis);
    traces.goggle.camera.exposureMs = traces.reference.camera.exposureMs;
    AnalysisInput input = given;
    std::vector<float> cells;
    auto gogglePulses = freeFromPulses(traces.goggle);
    if (!gogglePulses) {
        gogglePulses = freeFromSlowBeat(traces.goggle, lamp);
    }
    if (gogglePulses) {
        traces.goggle.light = gogglePulses->light;
        if (input.goggleCells) {
            gogglePulses->pulses.sweepMs
                = pulseSweepMs(*input.goggleCells, traces.goggle, gogglePulses->pulses);
        }
        if (input.panel) {
            cells = cellsFreeFromPulses(*input.panel, traces.goggle, *gogglePulses);
            input.panel->light = cells;
            input.panelAsRead.reset();
        }
    }
    const auto lag = static_cast<std::size_t>(std::ceil(answerLagMs / input.frameIntervalMs));
    const onset::EdgeSearch goggle = onset::findEdges(traces.goggle.light, lag);
    const std::vector<Partner> partner = partners(traces, lamp, goggle, options.searchMs);
    const std::vector<PairedEdge> paired = pairedEdges(lamp, partner);
    const Matched matched {traces, lamp, timed.lineTime, goggle, partner, paired,
        gogglePulses ? &gogglePulses->pulses : nullptr};
    if (gogglePulses && gogglePulses->pulses.isResolved) {
        timeByPulses(input, options, matched, analysis);
    } else {
        timeByFits(input, options, matched, analysis);
    }
    keepWanted(options.edges, analysis.presses);
    analysis.ground.reference = lamp.search;
    analysis.ground.goggle = goggle;
    analysis.ground.isPulsed = steady.pulses || !steady.light.empty() || gogglePulses;
    analysis.ground.lampTailGain = std::max(lamp.onResponse.tailGain, lamp.offResponse.tailGain);
    tellLineTime(input, timed.lineTime, analysis);
    flagDoubts(input, options, timed.lineTime, analysis);
    tellSlowLamp(lamp, analysis);
    addNotes(options, analysis);
    noteOnOffDifference(analysis);
    return analysis;
}

} // namespace twinlamp::measure
