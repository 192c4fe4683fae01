// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/panel_interval.h"

#include "core/measure/new_frame_interval.h"
#include "core/panel/bands.h"

#include <algorithm>
#include <vector>

namespace twinlamp::measure {

using onset::AnswerWindow;
using onset::CoarseEdge;
using onset::TimedTrace;
using panel::Axis;
using panel::Band;

namespace {

// More presses than this tell the interval by the lamp alone.
constexpr std::size_t mostPresses = 6;
// The panel has changed this long after half light of the lamp.
constexpr double settlingMs = 30.0;
constexpr double leastCellShare = 0.15;

struct PanelWindows
{
    std::vector<AnswerWindow> windows;
    std::vector<panel::StepFrames> steps;
    std::vector<double> pressMs; ///< onsets of the presses
};

PanelWindows panelWindows(
    const TimedTrace& goggle, std::span<const CoarseEdge> edges, std::span<const PairedEdge> paired)
{
    const auto from = [&](double ms) {
        return static_cast<std::size_t>(
            std::ranges::lower_bound(goggle.startMs, ms) - goggle.startMs.begin());
    };
    PanelWindows found;
    for (const PairedEdge& pair : paired.first(std::min(mostPresses, paired.size()))) {
        AnswerWindow window = answerWindow(goggle, edges, pair, guessedNewFrameMs);
        const double half = goggle.startMs[edges[pair.goggleEdge].frame];
        // Rows of the panel change before the lamp or after it.
        window.earliestMs = pair.referenceMs - goggle.camera.frameIntervalMs;
        window.latestMs = half + settlingMs;
        const std::size_t notBefore
            = pair.goggleEdge > 0 ? edges[pair.goggleEdge - 1].frame + 1 : 0;
        constexpr double quietMs = 12.0;
        window.firstFrame
            = std::max(notBefore, std::min(window.firstFrame, from(window.earliestMs - quietMs)));
        const std::size_t before = from(pair.referenceMs);
        const std::size_t after = from(half + settlingMs);
        constexpr std::size_t fewest = 3;
        if (before < window.firstFrame + fewest || window.lastFrame < after + fewest) {
            continue;
        }
        found.windows.push_back(window);
        found.pressMs.push_back(pair.referenceMs);
        found.steps.push_back({window.firstFrame, before, after, window.lastFrame});
    }
    return found;
}

StepsEvidence bandEvidence(const panel::CellTraces& panel, const std::vector<bool>& use, Axis axis,
    const TimedTrace& goggle, const PanelWindows& found)
{
    const std::vector<Band> bands = makeBands(panel, use, axis, goggle.camera);
    std::vector<TracedAnswer> answers;
    for (const Band& band : bands) {
        for (std::size_t i = 0; i < found.windows.size(); ++i) {
            answers.push_back({{band.light, goggle.startMs, goggle.camera, band.rows},
                found.windows[i], found.pressMs[i]});
        }
    }
    return newFrameFromSteps(answers);
}

} // namespace

std::optional<Interval> newFrameFromPanel(const panel::CellTraces& panel, const TimedTrace& goggle,
    std::span<const CoarseEdge> edges, std::span<const PairedEdge> paired)
{
    const PanelWindows found = panelWindows(goggle, edges, paired);
    if (found.windows.empty()) {
        return std::nullopt;
    }
    const std::vector<bool> use = panel::cellSteps(panel, found.steps).changing();
    if (static_cast<double>(std::ranges::count(use, true))
        < leastCellShare * static_cast<double>(use.size())) {
        return std::nullopt;
    }
    // Across the sweep every band mixes rows of both pictures: the axis explained better counts.
    const StepsEvidence rows = bandEvidence(panel, use, Axis::Rows, goggle, found);
    const StepsEvidence columns = bandEvidence(panel, use, Axis::Columns, goggle, found);
    return rows.twoSteps <= columns.twoSteps ? rows.interval : columns.interval;
}

} // namespace twinlamp::measure
