// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/clip_setting.h"

#include "core/measure/room_light.h"

#include <algorithm>
#include <iterator>
#include <optional>
#include <span>

namespace twinlamp::measure {

namespace {

// Lines of a lamp's region that are read apart: enough to tell a round lamp from a square one.
constexpr int lampLines = 12;
constexpr int panelColumns = 12;
constexpr int panelRows = 12;

std::vector<float> panelMean(const RegionLight& light, std::size_t frames)
{
    constexpr std::size_t cells = std::size_t {panelColumns} * panelRows;
    std::vector<float> mean(frames);
    for (std::size_t k = 0; k < frames; ++k) {
        double sum = 0.0;
        for (std::size_t c = 0; c < cells; ++c) {
            sum += static_cast<double>(light.panelCells[k * cells + c]);
        }
        mean[k] = static_cast<float>(sum / cells);
    }
    return mean;
}

} // namespace

RegionRequest storedRegions(const RegionSet& regions, const footage::Orientation& orientation,
    const MeasureOptions& options)
{
    RegionRequest stored;
    stored.transfer = options.transfer;
    stored.reference = footage::toStored(regions.reference, orientation);
    stored.goggle = footage::toStored(regions.goggle, orientation);
    // Two rows share their colour samples.
    stored.referenceRows = std::clamp(stored.reference->height / 2, 1, lampLines);
    stored.goggleColumns = std::min(lampLines, stored.goggle->width);
    stored.goggleRows = std::min(lampLines, stored.goggle->height);
    stored.panelColumns = panelColumns;
    stored.panelRows = panelRows;
    stored.room = true;
    stored.threads = options.threads;
    if (regions.panel) {
        stored.panel = footage::toStored(*regions.panel, orientation);
    }
    if (regions.panelCorners) {
        stored.panelCorners = footage::toStored(*regions.panelCorners, orientation);
    }
    return stored;
}

AnalysisInput analysisInput(
    const ClipSetting& setting, const RegionLight& light, std::size_t frames, bool withPanel)
{
    AnalysisInput input;
    input.reference = std::span(light.reference).first(frames);
    input.goggle = std::span(light.goggle).first(frames);
    input.referenceHigh = std::span(light.referenceHigh).first(frames);
    input.goggleHigh = std::span(light.goggleHigh).first(frames);
    input.startMs = std::span(setting.startMs).first(frames);
    input.frameIntervalMs = setting.clock.captureRate().intervalMs();
    input.storedRows = setting.index.info.orientation.storedHeightPx;
    input.rotationDeg = setting.index.info.orientation.rotationDeg;
    input.referenceStored = *setting.stored.reference;
    input.goggleStored = *setting.stored.goggle;
    for (const FrameIndex k : setting.clock.framesAfterGaps()) {
        input.framesAfterGaps.push_back(static_cast<std::size_t>(k.value));
    }
    const auto lampCells = static_cast<std::size_t>(setting.stored.goggleColumns)
        * static_cast<std::size_t>(setting.stored.goggleRows);
    input.goggleCells = panel::CellTraces {setting.stored.goggleColumns, setting.stored.goggleRows,
        std::span(light.goggleCells).first(frames * lampCells), *setting.stored.goggle};
    if (setting.stored.referenceRows > 1) {
        const auto lines = static_cast<std::size_t>(setting.stored.referenceRows);
        input.referenceLines = panel::CellTraces {1, setting.stored.referenceRows,
            std::span(light.referenceLines).first(frames * lines), *setting.stored.reference};
    }
    if (withPanel && setting.stored.panel) {
        constexpr std::size_t cells = std::size_t {panelColumns} * panelRows;
        input.panel = panel::CellTraces {panelColumns, panelRows,
            std::span(light.panelCells).first(frames * cells), *setting.stored.panel,
            setting.stored.panelCorners};
    }
    return input;
}

ClipTraces tracesOf(
    const ClipSetting& setting, const RegionLight& light, std::size_t frames, bool withPanel)
{
    ClipTraces traces;
    traces.exposureStart.reserve(frames);
    for (std::size_t k = 0; k < frames; ++k) {
        traces.exposureStart.push_back(setting.clock.toReal({static_cast<std::int64_t>(k)}));
    }
    traces.reference.assign(
        light.reference.begin(), light.reference.begin() + static_cast<std::ptrdiff_t>(frames));
    traces.goggle.assign(
        light.goggle.begin(), light.goggle.begin() + static_cast<std::ptrdiff_t>(frames));
    if (withPanel && setting.stored.panel) {
        traces.panel = panelMean(light, frames);
    }
    return traces;
}

AnalysedLight analysedLight(const ClipSetting& setting, const RegionLight& read)
{
    AnalysedLight analysed;
    analysed.own = read;
    const auto& orientation = setting.index.info.orientation;
    const RoomView view {setting.startMs,
        {0, 0, orientation.storedWidthPx, orientation.storedHeightPx}, setting.stored.roomColumns,
        setting.stored.roomRows};
    analysed.roomNotes = removeRoomLight(view, setting.stored, analysed.own);
    const auto frames = static_cast<std::size_t>(setting.index.frameCount());
    AnalysisInput input = analysisInput(setting, analysed.own, frames, true);
    if (input.panel) {
        input.panelAsRead = input.panel;
        input.panelAsRead->light = std::span(read.panelCells).first(input.panel->light.size());
    }
    analysed.analysis = analyseClip(input, setting.options);
    return analysed;
}

} // namespace twinlamp::measure
