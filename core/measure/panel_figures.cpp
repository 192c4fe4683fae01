// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/panel_figures.h"

#include "core/base/coverage.h"
#include "core/base/homography.h"
#include "core/measure/band_shares.h"
#include "core/panel/bands.h"
#include "core/panel/sweep.h"

#include <algorithm>
#include <cmath>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::measure {

using panel::Axis;
using panel::Band;
using panel::PressBands;
using panel::SweepFit;

namespace {

// First guess of the scan, only for the ramp inside one band.
constexpr double guessedScanMs = 8.0;
// Below this share of the cells a full frame would be guesswork.
constexpr double leastCellShare = 0.15;
constexpr std::size_t axisPresses = 8;

/// A press whose answer tells where the panel changes.
struct TimedPress
{
    std::size_t press = 0;
    std::size_t pair = 0;
    onset::AnswerWindow window;
    double changeMs = 0.0; ///< start of the goggle lamp's change
};

std::vector<TimedPress> timedPresses(
    const PressMaterial& m, const std::vector<Press>& presses, double newFrameMs, bool isMoving)
{
    std::vector<TimedPress> timed;
    std::size_t pair = 0;
    for (std::size_t i = 0; i < m.lamp.onsets.size(); ++i) {
        if (!m.partners[i].answer || !m.lamp.onsets[i].onset) {
            continue;
        }
        if (m.answers.fits[pair] && presses[i].accepted) {
            const double change = m.answers.fits[pair]->startMs;
            onset::AnswerWindow window
                = answerWindow(m.goggle, m.goggleEdges.edges, m.paired[pair], newFrameMs);
            // Rows before the lamp on the sweep may have changed a scan and an interval earlier
            // (link camera and panel running against each other), rows after it as much later.
            window.earliestMs = std::max(change - 2.1 * newFrameMs - 2.0,
                m.paired[pair].referenceMs - m.input.frameIntervalMs);
            window.latestMs = change + 1.1 * newFrameMs + 12.0;
            if (isMoving) {
                // Its own changes disturb the level of more frames than it takes to know it.
                const double quiet = std::max(8.0 * m.input.frameIntervalMs, 10.0);
                const auto first = std::ranges::lower_bound(
                    m.input.startMs, change - 0.7 * newFrameMs - 2.0 - quiet);
                window.firstFrame = std::max(
                    window.firstFrame, static_cast<std::size_t>(first - m.input.startMs.begin()));
            }
            timed.push_back({i, pair, window, change});
        }
        ++pair;
    }
    return timed;
}

std::vector<panel::StepFrames> stepFrames(
    const PressMaterial& m, const std::vector<TimedPress>& timed, double newFrameMs)
{
    std::vector<panel::StepFrames> frames;
    const auto at = [&](double ms) {
        return static_cast<std::size_t>(
            std::ranges::lower_bound(m.input.startMs, ms) - m.input.startMs.begin());
    };
    const std::size_t stride = std::max<std::size_t>(1, timed.size() / 24);
    for (std::size_t i = 0; i < timed.size(); i += stride) {
        const TimedPress& press = timed[i];
        const std::size_t beforeLast
            = at(std::max(press.window.earliestMs, m.paired[press.pair].referenceMs));
        const std::size_t afterFirst
            = std::min(at(press.changeMs + 1.5 * newFrameMs), press.window.lastFrame);
        frames.push_back(
            {press.window.firstFrame, std::max(beforeLast, press.window.firstFrame + 1), afterFirst,
                std::max(press.window.lastFrame, afterFirst + 1)});
        frames.back().afterLast = std::min(frames.back().afterLast, m.goggle.frameCount());
    }
    return frames;
}

std::vector<double> delaysOf(std::optional<double> newFrameMs)
{
    return newFrameMs ? std::vector<double> {0.0, *newFrameMs} : std::vector<double> {0.0};
}

struct BandFitting
{
    Axis axis = Axis::Rows;
    double scanMs = guessedScanMs;
    int direction = 0; ///< of the sweep: see seenRampMs()
    std::optional<double> newFrameMs;
};

// Starts of all bands after every press.
std::vector<PressBands> bandStarts(const PressMaterial& m, const std::vector<Band>& bands,
    const std::vector<TimedPress>& timed, const BandFitting& how)
{
    std::vector<PressBands> starts(timed.size());
    const std::vector<double> delays = delaysOf(how.newFrameMs);
    for (const Band& band : bands) {
        const onset::TimedTrace trace {band.light, m.input.startMs, m.goggle.camera, band.rows};
        const double ramp = how.scanMs * (band.high - band.low);
        const double seen = seenRampMs(band, ramp, how.direction);
        const onset::ShapeTable on({seen, m.answers.onShape.tauMs, {}, m.answers.onShape.overshoot},
            trace.camera.exposureMs);
        const onset::ShapeTable off(
            {seen, m.answers.offShape.tauMs, {}, m.answers.offShape.overshoot},
            trace.camera.exposureMs);
        for (std::size_t p = 0; p < timed.size(); ++p) {
            const auto fit = fitAnswer(
                trace, timed[p].window, timed[p].window.edge == Edge::On ? on : off, delays);
            constexpr double leastNoises = 4.0;
            if (!fit || std::abs(fit->step()) < leastNoises * fit->residual()) {
                continue;
            }
            const double share = fit->firstShare();
            // Less than a tenth in the first picture: first light of these rows came with the
            // second.
            const bool late = share < 0.1;
            starts[p].push_back({band.low, band.high,
                fit->startMs - 0.5 * (ramp - seen) + (late ? fit->delayMs : 0.0), share,
                fit->startStandardMs});
        }
    }
    return starts;
}

struct AxisChoice
{
    Axis axis = Axis::Rows;
    std::optional<SweepFit> fit;
};

// The axis along which starts lie on a line; across it they are all alike, which a line fits too,
// but with no scan.
// A shorter scan is none that frames could tell from none.
double allAtOnceMs(const PressMaterial& m) { return std::max(0.5, 0.3 * m.input.frameIntervalMs); }

AxisChoice chooseAxis(const PressMaterial& m, const std::vector<bool>& use,
    const std::vector<TimedPress>& timed, std::optional<double> newFrameMs)
{
    std::vector<TimedPress> few;
    const std::size_t stride = std::max<std::size_t>(1, timed.size() / axisPresses);
    for (std::size_t i = 0; i < timed.size(); i += stride) {
        few.push_back(timed[i]);
    }
    AxisChoice best;
    for (const Axis axis : {Axis::Rows, Axis::Columns}) {
        const auto bands = makeBands(*m.input.panel, use, axis, m.goggle.camera);
        const auto fit
            = fitSweep(bandStarts(m, bands, few, {axis, guessedScanMs, 0, newFrameMs}), newFrameMs);
        if (!fit) {
            continue;
        }
        // A panel that shows a picture all at once has no axis of its own; the link camera read it
        // by rows, so a press caught in the middle of them divides it by rows.
        if (!best.fit || fit->scanMs > best.fit->scanMs + allAtOnceMs(m)) {
            best = {axis, fit};
        }
    }
    return best;
}

// Of a panel given by its corners in the panel's own picture: its rows are the grid's.
SweepDirection uprightDirection(Axis axis, bool forward, int rotationDeg)
{
    // Down, left, up, right as quarter turns clockwise of "down in the stored picture".
    const int stored = axis == Axis::Rows ? (forward ? 0 : 2) : (forward ? 3 : 1);
    switch ((stored + rotationDeg / 90) % 4) {
    case 0:
        return SweepDirection::Down;
    case 1:
        return SweepDirection::RightToLeft;
    case 2:
        return SweepDirection::Up;
    default:
        return SweepDirection::LeftToRight;
    }
}

/// First and last row of every press, its pixels' response included, and what it rests on.
struct RowSpans
{
    std::vector<std::optional<panel::SweepSpan>> spans;
    std::optional<double> slope; ///< of the whole panel, along the sweep
};

RowSpans spansByRows(const PressMaterial& m, const std::vector<Band>& bands,
    const std::vector<TimedPress>& timed, const SweepFit& fit, double newFrameMs)
{
    std::vector<PanelWindow> windows;
    std::vector<std::size_t> which;
    for (std::size_t p = 0; p < timed.size(); ++p) {
        if (fit.presses[p]) {
            windows.push_back({timed[p].window, fit.presses[p]->startMs});
            which.push_back(p);
        }
    }
    panel::SweepRows sweep {fit.scanMs, fit.forward, newFrameMs, 0.0};
    const auto shares = bandShares(m, bands, windows, sweep);
    const auto rows = panel::fitRowShares(shares);
    RowSpans found {std::vector<std::optional<panel::SweepSpan>>(timed.size()), std::nullopt};
    std::vector<std::optional<panel::SweepSpan>>& spans = found.spans;
    constexpr double clearResidual = 0.03;
    constexpr std::size_t fewestPresses = 6;
    if (rows && rows->residual < clearResidual && which.size() >= fewestPresses) {
        found.slope = fit.forward ? rows->slope : -rows->slope;
    }
    for (std::size_t i = 0; rows && i < which.size(); ++i) {
        const bool isOn = timed[which[i]].window.edge == Edge::On;
        sweep.tauMs = isOn ? m.answers.onShape.tauMs : m.answers.offShape.tauMs;
        if (!shares[i].bands.empty()) {
            spans[which[i]] = rowSpan(*rows, i, windows[i].startMs, sweep);
        }
    }
    return found;
}

// The same where no new-frame interval is known: one sweep.
RowSpans spansByOneSweep(
    const PressMaterial& m, const std::vector<TimedPress>& timed, const SweepFit& fit)
{
    RowSpans found {std::vector<std::optional<panel::SweepSpan>>(timed.size()), std::nullopt};
    for (std::size_t p = 0; p < timed.size(); ++p) {
        const bool isOn = timed[p].window.edge == Edge::On;
        const double tau = isOn ? m.answers.onShape.tauMs : m.answers.offShape.tauMs;
        const double response = onset::StepShape {0.0, tau}.timeOf(0.1);
        if (const auto& sweep = fit.presses[p]) {
            found.spans[p] = {sweep->startMs + response, sweep->startMs + fit.scanMs + response};
        }
    }
    return found;
}

// What the steps after the presses say of the intervals: a panel with a clock of its own shows its
// redraws in them.
void addStepTiming(const Answers& answers, bool hasMotion, PanelTiming& timing)
{
    if (answers.isOwnClock) {
        timing.refreshInterval = latencyFromMs(*answers.newFrameMs);
    }
    if (hasMotion) {
        return;
    }
    const auto steps = Interval {*answers.newFrameMs, *answers.newFrameStandardMs};
    if (const auto interval = answers.isOwnClock ? answers.linkInterval : std::optional(steps)) {
        timing.newFrameInterval = latencyFromMs(interval->ms);
        timing.newFrameUncertaintyMs = coverageFactor95 * interval->standardMs;
    }
}

PanelTiming makeTiming(const PressMaterial& m, const AxisChoice& choice, const SweepFit* fit,
    const std::optional<panel::MotionRhythm>& motion)
{
    PanelTiming timing;
    if (fit != nullptr) {
        timing.scan = latencyFromMs(fit->scanMs);
        timing.direction = fit->scanMs < allAtOnceMs(m)
            ? SweepDirection::AllAtOnce
            : uprightDirection(
                choice.axis, fit->forward, m.input.panel->corners ? 0 : m.input.rotationDeg);
        timing.signs.emplace_back("sweep");
    }
    if (motion) {
        timing.newFrameInterval = latencyFromMs(motion->newFrameMs);
        timing.newFrameUncertaintyMs = coverageFactor95 * motion->standardMs;
        timing.heldShare = motion->heldShare;
        timing.longestHeld = latencyFromMs(motion->longestHeldMs);
        timing.signs.emplace_back("moving-picture");
    }
    if (m.answers.newFrameStandardMs) {
        addStepTiming(m.answers, motion.has_value(), timing);
        timing.signs.emplace_back("steps-after-a-press");
    }
    return timing;
}

/// The sweep over all presses, and what it tells of each.
struct PanelSweep
{
    AxisChoice choice;
    std::optional<SweepFit> fit;
    std::optional<double> slope; ///< see RowSpans
    double along = 0.0; ///< see PressMaterial::sweepAlong
    double lampShare = 0.0; ///< of the panel that the sweep crosses over the goggle lamp
};

// How the sweep crosses the goggle lamp's region.
void crossLamp(const PressMaterial& m, PanelSweep& sweep)
{
    const bool rows = sweep.choice.axis == Axis::Rows;
    const RectPx& lamp = m.input.goggleStored;
    const double lineTime = m.goggle.camera.lineTimeMs;
    const int readOut = lineTime > 0.0 ? 1 : lineTime < 0.0 ? -1 : 0;
    const int forward = sweep.choice.fit->forward ? 1 : -1;
    if (!m.input.panel->corners) {
        const RectPx& panel = m.input.panel->stored;
        sweep.along = rows ? readOut * forward : 0;
        sweep.lampShare = rows ? static_cast<double>(lamp.height) / panel.height
                               : static_cast<double>(lamp.width) / panel.width;
        return;
    }
    const auto gradient = Homography(*m.input.panel->corners)
                              .panelPerPx({lamp.x + 0.5 * lamp.width, lamp.y + 0.5 * lamp.height});
    // A lamp is round, or a square that was turned with the panel: as wide along any direction.
    const double wide = lamp.width * (rows ? gradient.perColumn.y : gradient.perColumn.x);
    const double high = lamp.height * (rows ? gradient.perRow.y : gradient.perRow.x);
    sweep.lampShare = std::hypot(wide, high);
    sweep.along = readOut * forward * high / sweep.lampShare;
}

PanelSweep sweepOf(const PressMaterial& m, const std::vector<bool>& use,
    const std::vector<TimedPress>& timed, std::vector<Press>& presses)
{
    PanelSweep sweep;
    const auto newFrame = m.answers.newFrameMs;
    sweep.choice = chooseAxis(m, use, timed, newFrame);
    const AxisChoice& choice = sweep.choice;
    if (!choice.fit) {
        return sweep;
    }
    const auto bands = makeBands(*m.input.panel, use, choice.axis, m.goggle.camera);
    crossLamp(m, sweep);
    const int direction = choice.fit->forward ? 1 : -1;
    const auto starts
        = bandStarts(m, bands, timed, {choice.axis, choice.fit->scanMs, direction, newFrame});
    sweep.fit = fitSweep(starts, newFrame);
    if (!sweep.fit) {
        return sweep;
    }
    const RowSpans found = newFrame ? spansByRows(m, bands, timed, *sweep.fit, *newFrame)
                                    : spansByOneSweep(m, timed, *sweep.fit);
    sweep.slope = found.slope;
    for (std::size_t p = 0; p < timed.size(); ++p) {
        if (found.spans[p]) {
            writeSweep(m, *found.spans[p], presses[timed[p].press]);
        }
    }
    return sweep;
}

GoggleSweep goggleSweep(const PressMaterial& m, const PanelSweep& sweep)
{
    const double share = sweep.lampShare;
    GoggleSweep goggle {
        std::max(0.0, sweep.fit->scanMs * share - sweep.along * m.goggle.rows.smearMs), {}};
    if (sweep.slope) {
        goggle.slope = *sweep.slope * share;
    }
    return goggle;
}

} // namespace

void writeSweep(const PressMaterial& m, const panel::SweepSpan& span, Press& press)
{
    const double first = press.firstLight ? toMs(*press.firstLight) : span.firstMs;
    const double doubtMs = m.input.frameIntervalMs;
    if (span.lastMs < first - doubtMs || span.firstMs > first + doubtMs) {
        return;
    }
    press.sweepStart = realTimeFromMs(std::min(span.firstMs, first));
    press.fullFrame = realTimeFromMs(std::max(span.lastMs, first));
    if (press.reference) {
        press.fullFrameLatency
            = *press.fullFrame - *press.reference - latencyFromMs(m.options.zeroMs);
    }
}

PanelFigures panelFigures(const PressMaterial& m, const std::optional<panel::MotionRhythm>& motion,
    std::vector<Press>& presses)
{
    PanelFigures figures;
    const double interval = m.answers.newFrameMs.value_or(guessedNewFrameMs);
    const auto timed = timedPresses(m, presses, interval, motion.has_value());
    const auto steps = panel::cellSteps(*m.input.panel, stepFrames(m, timed, interval));
    std::vector<bool> use
        = timed.empty() ? std::vector<bool>(m.input.panel->cellCount(), false) : steps.changing();
    const auto changing = static_cast<double>(std::ranges::count(use, true));
    if (!motion) {
        figures.notes.push_back({"held-not-seen", {}});
    }
    PanelSweep sweep;
    if (changing >= leastCellShare * static_cast<double>(use.size())) {
        sweep = sweepOf(m, use, timed, presses);
    }
    for (Press& press : presses) {
        if (press.latency && !press.fullFrame) {
            addFlag(press.flags, Flag::PanelNoFigure);
        }
    }
    if (m.answers.isOwnClock) {
        figures.notes.push_back(
            {"panel-own-clock", {fmt::format("{:.2f}", *m.answers.newFrameMs)}});
    }
    if (sweep.fit) {
        figures.goggleSweep = goggleSweep(m, sweep);
        figures.sweepAlong = sweep.along;
    }
    if (sweep.fit || motion || m.answers.newFrameStandardMs) {
        figures.timing = makeTiming(m, sweep.choice, sweep.fit ? &*sweep.fit : nullptr, motion);
    }
    return figures;
}

} // namespace twinlamp::measure
