// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/pulse_panel.h"

#include "core/measure/pulse_answers.h"
#include "core/panel/bands.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::measure {

namespace {

constexpr double leastCellShare = 0.15;

std::size_t frameAt(const onset::TimedTrace& trace, double timeMs)
{
    return static_cast<std::size_t>(
        std::ranges::lower_bound(trace.startMs, timeMs) - trace.startMs.begin());
}

// Windows of the presses that were answered, by press; the panel may change some pulses around the
// lamp.
struct PanelPress
{
    std::size_t press = 0;
    onset::AnswerWindow window;
};

std::vector<PanelPress> panelPresses(const PressMaterial& m, const std::vector<Press>& presses)
{
    std::vector<PanelPress> found;
    std::size_t pair = 0;
    for (std::size_t i = 0; i < m.lamp.onsets.size(); ++i) {
        if (!m.partners[i].answer || !m.lamp.onsets[i].onset) {
            continue;
        }
        if (presses[i].latency && presses[i].accepted) {
            found.push_back({i,
                pulseWindow(
                    m.goggle, m.goggleEdges.edges, m.paired[pair], m.gogglePulses->periodMs)});
            found.back().window.earliestMs = m.paired[pair].referenceMs;
        }
        ++pair;
    }
    return found;
}

std::vector<panel::StepFrames> stepFrames(
    const PressMaterial& m, const std::vector<PanelPress>& presses)
{
    std::vector<panel::StepFrames> steps;
    for (const PanelPress& press : presses) {
        const onset::AnswerWindow& window = press.window;
        const std::size_t before
            = std::max(frameAt(m.goggle, window.earliestMs), window.firstFrame + 1);
        const std::size_t after = std::min(
            frameAt(m.goggle, window.latestMs + 2.0 * m.gogglePulses->periodMs), window.lastFrame);
        steps.push_back({window.firstFrame, before, after,
            std::min(std::max(window.lastFrame, after + 1), m.goggle.frameCount())});
    }
    return steps;
}

// First and last band of one press. A band that answers pulses away from most others has been
// misread: nothing sweeps a panel that slowly.
std::optional<panel::SweepSpan> spanOfBands(const PressMaterial& m,
    const std::vector<panel::Band>& bands, const onset::AnswerWindow& window)
{
    std::vector<double> times;
    for (const panel::Band& band : bands) {
        const onset::TimedTrace trace {band.light, m.input.startMs, m.goggle.camera, band.rows};
        if (const auto answer = pulseAnswer(trace, *m.gogglePulses, window)) {
            times.push_back(answer->firstMs);
        }
    }
    if (2 * times.size() < bands.size() || times.empty()) {
        return std::nullopt;
    }
    constexpr double mostPulsesAway = 2.2;
    const double middle = trace::medianOf(times);
    std::erase_if(times, [&](double time) {
        return std::abs(time - middle) > mostPulsesAway * m.gogglePulses->periodMs;
    });
    const auto [first, last] = std::ranges::minmax(times);
    return panel::SweepSpan {first, last};
}

} // namespace

PanelFigures pulsePanelFigures(const PressMaterial& m, std::vector<Press>& presses)
{
    PanelFigures figures;
    const std::vector<PanelPress> shown = panelPresses(m, presses);
    const auto use = panel::cellSteps(*m.input.panel, stepFrames(m, shown)).changing();
    const auto changing = static_cast<double>(std::ranges::count(use, true));
    const bool hasPanel
        = !shown.empty() && changing >= leastCellShare * static_cast<double>(use.size());
    const auto bands = hasPanel ? makeBands(*m.input.panel, use, panel::Axis::Rows, m.goggle.camera)
                                : std::vector<panel::Band> {};
    bool isAllAtOnce = true;
    for (const PanelPress& press : shown) {
        if (const auto span = spanOfBands(m, bands, press.window)) {
            writeSweep(m, *span, presses[press.press]);
            isAllAtOnce
                = isAllAtOnce && span->lastMs - span->firstMs < 0.5 * m.gogglePulses->periodMs;
        }
    }
    for (Press& press : presses) {
        if (press.latency && !press.fullFrame) {
            addFlag(press.flags, Flag::PanelNoFigure);
        }
    }
    figures.timing = PanelTiming {};
    figures.timing->refreshInterval = latencyFromMs(m.gogglePulses->periodMs);
    figures.timing->signs.emplace_back("strobe");
    if (hasPanel && isAllAtOnce) {
        figures.timing->direction = SweepDirection::AllAtOnce;
    }
    figures.notes.push_back({"held-not-seen", {}});
    return figures;
}

} // namespace twinlamp::measure
