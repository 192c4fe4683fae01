// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/accuracy/trial_run.h"

#include "core/film/trace_render.h"
#include "core/measure/room_light.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace twinlamp::accuracy {

namespace {

// As the program reads them (core/measure/clip_measurement.cpp, region_scan.cpp).
constexpr int cellLines = 12;
constexpr int panelSamples = 250;
constexpr int roomSamples = 100;

void applyDrift(const LightDrift& drift, std::span<const double> startMs, std::vector<float>& light)
{
    const std::size_t values = startMs.empty() ? 0 : light.size() / startMs.size();
    if (values == 0 || drift.amplitude == 0.0) {
        return;
    }
    for (std::size_t i = 0; i < light.size(); ++i) {
        const double phase = 2.0 * std::numbers::pi * startMs[i / values] / drift.periodMs;
        light[i] *= static_cast<float>(1.0 + drift.amplitude * std::sin(phase));
    }
}

} // namespace

RegionFootage::RegionFootage(const Trial& trial, const film::Studio& studio, bool withPanel)
{
    const RegionSet& regions = studio.regions();
    const footage::Orientation& orientation = studio.orientation();
    m_frame.frameIntervalMs = trial.scene.camera.captureRate.intervalMs();
    m_frame.storedRows = orientation.storedHeightPx;
    m_frame.rotationDeg = orientation.rotationDeg;
    std::int64_t before = -1;
    for (const std::int64_t frame : studio.cameraFrames()) {
        if (frame > before + 1) {
            m_frame.framesAfterGaps.push_back(m_startMs.size());
        }
        // The tester knows the labelled rate only.
        m_startMs.push_back(static_cast<double>(frame) * m_frame.frameIntervalMs);
        before = frame;
    }
    m_regions.reference = footage::toStored(regions.reference, orientation);
    m_regions.goggle = footage::toStored(regions.goggle, orientation);
    m_regions.referenceRows = std::clamp(m_regions.reference->height / 2, 1, cellLines);
    m_regions.goggleColumns = std::min(cellLines, m_regions.goggle->width);
    m_regions.goggleRows = std::min(cellLines, m_regions.goggle->height);
    m_frame.referenceStored = *m_regions.reference;
    m_frame.goggleStored = *m_regions.goggle;
    if (withPanel && regions.panel) {
        m_regions.panel = footage::toStored(*regions.panel, orientation);
    }
    // The program always looks at the room; where its light is steady it changes nothing.
    m_regions.room = trial.scene.room.mainsHz > 0.0 || trial.drift.amplitude != 0.0;
    film(trial, studio);
    if (m_regions.room) {
        removeRoom(studio);
    }
}

void RegionFootage::film(const Trial& trial, const film::Studio& studio)
{
    const RegionSet& regions = studio.regions();
    const auto noise = film::TraceNoise::Camera;
    auto reference = film::renderRegion(
        studio, {regions.reference, 1, m_regions.referenceRows, 0}, noise, 0);
    m_light.reference = std::move(reference.mean);
    m_light.referenceLines = std::move(reference.cells);
    m_light.referenceHigh = std::move(reference.clipped);
    auto goggle = film::renderRegion(
        studio, {regions.goggle, m_regions.goggleColumns, m_regions.goggleRows, 0}, noise, 1);
    m_light.goggle = std::move(goggle.mean);
    m_light.goggleHigh = std::move(goggle.clipped);
    m_light.goggleCells = std::move(goggle.cells);
    if (m_regions.panel) {
        const film::RegionGrid grid {
            *regions.panel, m_regions.panelColumns, m_regions.panelRows, panelSamples};
        m_light.panelCells = film::renderRegion(studio, grid, noise, 2).cells;
    }
    if (m_regions.room) {
        const film::RegionGrid grid {{0, 0, trial.scene.widthPx, trial.scene.heightPx},
            m_regions.roomColumns, m_regions.roomRows, roomSamples};
        m_light.roomCells = film::renderRegion(studio, grid, noise, 3).cells;
    }
    for (auto* light : {&m_light.reference, &m_light.referenceLines, &m_light.goggle, &m_light.goggleCells,
             &m_light.panelCells, &m_light.roomCells}) {
        applyDrift(trial.drift, m_startMs, *light);
    }
}

void RegionFootage::removeRoom(const film::Studio& studio)
{
    const footage::Orientation& orientation = studio.orientation();
    m_panelAsRead = m_light.panelCells;
    const measure::RoomView view {m_startMs,
        {0, 0, orientation.storedWidthPx, orientation.storedHeightPx}, m_regions.roomColumns,
        m_regions.roomRows};
    static_cast<void>(measure::removeRoomLight(view, m_regions, m_light));
}

measure::AnalysisInput RegionFootage::input() const
{
    measure::AnalysisInput input = m_frame;
    input.reference = m_light.reference;
    input.referenceHigh = m_light.referenceHigh;
    input.goggle = m_light.goggle;
    input.goggleHigh = m_light.goggleHigh;
    input.startMs = m_startMs;
    input.referenceLines = panel::CellTraces {
        1, m_regions.referenceRows, m_light.referenceLines, *m_regions.reference};
    input.goggleCells = panel::CellTraces {
        m_regions.goggleColumns, m_regions.goggleRows, m_light.goggleCells, *m_regions.goggle};
    if (m_regions.panel) {
        input.panel = panel::CellTraces {
            m_regions.panelColumns, m_regions.panelRows, m_light.panelCells, *m_regions.panel};
        if (!m_panelAsRead.empty()) {
            input.panelAsRead = input.panel;
            input.panelAsRead->light = m_panelAsRead;
        }
    }
    return input;
}

namespace {

/// The seen press nearest to the true one in time, of the same edge kind and not yet taken.
std::optional<std::size_t> partnerOf(const Press& real, const std::vector<Press>& seen,
    const std::vector<bool>& taken, double withinMs)
{
    std::optional<std::size_t> nearest;
    double distance = withinMs;
    for (std::size_t i = 0; i < seen.size(); ++i) {
        if (taken[i] || seen[i].edge != real.edge || !seen[i].reference) {
            continue;
        }
        const double apart = std::abs(toMs(*seen[i].reference) - toMs(*real.reference));
        if (apart < distance) {
            distance = apart;
            nearest = i;
        }
    }
    return nearest;
}

void scorePress(
    const Press& real, const Press& seen, std::size_t index, double frameMs, ClipScore& score)
{
    if (!seen.accepted) {
        ++score.setAside;
        return;
    }
    if (!seen.latency || !real.latency) {
        score.missed += real.latency ? 1 : 0;
        score.invented += seen.latency ? 1 : 0;
        return;
    }
    PressScore press;
    press.truthIndex = index;
    press.errorFrames = (toMs(*seen.latency) - toMs(*real.latency)) / frameMs;
    press.halfWidthFrames = seen.uncertainty ? toMs(*seen.uncertainty) / frameMs : 0.0;
    if (seen.fullFrameLatency && real.fullFrameLatency) {
        press.fullFrameErrorMs = toMs(*seen.fullFrameLatency) - toMs(*real.fullFrameLatency);
    }
    score.scores.push_back(press);
}

bool jumps(const film::Truth& truth, std::size_t index)
{
    constexpr double tenth = 0.1;
    constexpr double near = 0.02;
    return index < truth.sampling.size() && truth.sampling[index].firstStepShare
        && std::abs(*truth.sampling[index].firstStepShare - tenth) < near;
}

} // namespace

ClipScore scoreClip(const film::Truth& truth, const measure::Analysis& analysis, double frameMs)
{
    // Wider than any error of an onset worth its name, and than a gap of four lost frames.
    const double withinMs = 6.0 * frameMs;
    ClipScore score;
    score.presses = static_cast<int>(truth.presses.size());
    std::vector<bool> taken(analysis.presses.size(), false);
    for (std::size_t i = 0; i < truth.presses.size(); ++i) {
        const Press& real = truth.presses[i];
        const auto partner = partnerOf(real, analysis.presses, taken, withinMs);
        if (!partner) {
            ++score.missed;
            continue;
        }
        taken[*partner] = true;
        scorePress(real, analysis.presses[*partner], i, frameMs, score);
    }
    for (PressScore& press : score.scores) {
        press.jumps = jumps(truth, press.truthIndex);
    }
    score.invented += static_cast<int>(std::ranges::count(taken, false));
    if (analysis.panelTiming && analysis.panelTiming->newFrameInterval && truth.panelTiming) {
        score.newFrameError = toMs(*analysis.panelTiming->newFrameInterval)
                / toMs(*truth.panelTiming->newFrameInterval)
            - 1.0;
    }
    return score;
}

ClipScore runTrial(const Trial& trial, bool withPanel)
{
    const film::Studio studio(trial.scene);
    const RegionFootage footage(trial, studio, withPanel);
    const measure::Analysis analysis = measure::analyseClip(footage.input(), trial.told);
    return scoreClip(film::truthOf(studio), analysis, trial.scene.camera.captureRate.intervalMs());
}

} // namespace twinlamp::accuracy
