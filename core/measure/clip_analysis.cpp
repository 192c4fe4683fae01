// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/clip_analysis.h"

#include "core/measure/answers.h"
#include "core/measure/lamp_onsets.h"
#include "core/measure/lamp_profile.h"
#include "core/measure/pairing.h"
#include "core/measure/panel_figures.h"
#include "core/measure/panel_interval.h"
#include "core/measure/press_builder.h"
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

Traces makeTraces(const AnalysisInput& input, const MeasureOptions& options)
{
    rig::CameraTiming camera;
    camera.frameIntervalMs = input.frameIntervalMs;
    camera.exposureMs = std::min(options.exposureMs.value_or(0.0), input.frameIntervalMs);
    camera.lineTimeMs = options.lineTimeUs.value_or(0.0) * 1e-3;
    camera.storedRows = input.storedRows;
    return {{input.reference, input.startMs, camera, regionTiming(camera, input.referenceStored)},
        {input.goggle, input.startMs, camera, regionTiming(camera, input.goggleStored)}};
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

void addNotes(const AnalysisInput& input, const MeasureOptions& options, const LampOnsets& lamp,
    Analysis& analysis)
{
    if (analysis.exposureSource == ExposureSource::Estimated) {
        analysis.notes.push_back(
            {"exposure-estimated", {fmt::format("{:.3f}", *analysis.exposureMs)}});
    } else if (analysis.exposureSource == ExposureSource::Unknown) {
        analysis.notes.push_back({"exposure-unknown", {}});
    }
    const int rowsApart = std::abs(input.referenceStored.y + input.referenceStored.height / 2
        - input.goggleStored.y - input.goggleStored.height / 2);
    // A twentieth of the picture's read-out is far below a frame interval for any camera.
    if (!options.lineTimeUs && rowsApart * 20 > input.storedRows && !lamp.onsets.empty()) {
        analysis.notes.push_back({"line-time-unknown", {std::to_string(rowsApart)}});
    }
    if (options.zeroMs == 0.0 && options.zeroUncertaintyMs == 0.0) {
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

} // namespace

Analysis analyseClip(const AnalysisInput& input, const MeasureOptions& options)
{
    Analysis analysis;
    Traces traces = makeTraces(input, options);
    const LampOnsets lamp = lampOnsets(traces.reference, input.referenceHigh);
    // Enough edges to tell an exposure: with eight, its share is known to one eighth or so.
    constexpr std::size_t tellingEdges = 8;
    analysis.exposureSource = options.exposureMs                ? ExposureSource::Given
        : lamp.exposure && lamp.exposure->edges >= tellingEdges ? ExposureSource::Estimated
                                                                : ExposureSource::Unknown;
    if (analysis.exposureSource != ExposureSource::Unknown) {
        analysis.exposureMs = traces.reference.camera.exposureMs;
    }
    traces.goggle.camera.exposureMs = traces.reference.camera.exposureMs;
    const auto lag = static_cast<std::size_t>(std::ceil(answerLagMs / input.frameIntervalMs));
    const onset::EdgeSearch goggle = onset::findEdges(traces.goggle.light, lag);
    const std::vector<Partner> partner = partners(traces, lamp, goggle, options.searchMs);
    const std::vector<PairedEdge> paired = pairedEdges(lamp, partner);
    const auto motion
        = input.panel ? panel::motionRhythm(*input.panel, input.startMs) : std::nullopt;
    NewFrameHint hint;
    if (motion) {
        hint.likelyMs = motion->newFrameMs;
    } else if (options.linkFrameRate) {
        hint.likelyMs = options.linkFrameRate->intervalMs();
    }
    if (input.panel && !motion) {
        hint.measured
            = [&] { return newFrameFromPanel(*input.panel, traces.goggle, goggle.edges, paired); };
    }
    Answers answers = fitAnswers(traces.goggle, goggle.edges, paired, hint,
        input.goggleCells ? sweepWeights(*input.goggleCells, traces.goggle, goggle.edges, paired)
                          : nullptr);

    const PressMaterial material {
        input, options, traces.reference, traces.goggle, lamp, goggle, partner, paired, answers};
    analysis.presses = buildPresses(material);
    if (input.panel) {
        PanelFigures figures = panelFigures(material, motion, analysis.presses);
        if (figures.goggleRampMs) {
            refitWithRamp(traces.goggle, goggle.edges, paired, *figures.goggleRampMs, answers);
            analysis.presses = buildPresses(material);
            figures = panelFigures(material, motion, analysis.presses);
        }
        analysis.panelTiming = std::move(figures.timing);
        std::ranges::move(figures.notes, std::back_inserter(analysis.notes));
    }
    std::erase_if(
        analysis.presses, [&](const Press& press) { return !isWanted(press.edge, options.edges); });
    for (std::size_t i = 0; i < analysis.presses.size(); ++i) {
        analysis.presses[i].index = static_cast<int>(i);
    }
    addNotes(input, options, lamp, analysis);
    noteOnOffDifference(analysis);
    return analysis;
}

} // namespace twinlamp::measure
