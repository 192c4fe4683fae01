// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/clip_measurement.h"

#include "core/base/wire_names.h"
#include "core/footage/capture_clock.h"
#include "core/measure/clip_analysis.h"
#include "core/measure/clip_doubts.h"
#include "core/measure/clip_regions.h"
#include "core/measure/clip_setup.h"
#include "core/measure/hand_shake.h"
#include "core/measure/region_scan.h"
#include "core/measure/room_light.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>
#include <thread>

namespace twinlamp::measure {

using footage::CaptureClock;
using footage::ClipIndex;

struct ScanMemory
{
    std::string file;
    std::int64_t sizeBytes = 0;
    std::int64_t modifiedNs = 0;
    std::string sha256;
    RegionRequest regions;
    RegionScan scan;
};

namespace {

// Lines of a lamp's region that are read apart: enough to tell a round lamp from a square one.
constexpr int lampLines = 12;
constexpr int panelColumns = 12;
constexpr int panelRows = 12;

std::optional<std::vector<float>> panelMean(const RegionLight& light, std::size_t frames)
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

// Everything about the clip that the analysis needs and the scan does not change.
struct ClipSetting
{
    const ClipIndex& index;
    const MeasureOptions& options;
    const CaptureClock& clock;
    RegionRequest stored;
    std::vector<double> startMs;
};

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
        traces.panel = panelMean(light, frames).value();
    }
    return traces;
}

bool isSameClip(const ScanMemory& memory, const ClipIndex& index)
{
    return memory.file == index.info.file && memory.sizeBytes == index.info.sizeBytes
        && memory.modifiedNs == index.info.modifiedNs;
}

bool samePanel(const RegionRequest& a, const RegionRequest& b)
{
    return a.panel == b.panel && a.panelCorners == b.panelCorners;
}

bool sameRegions(const RegionRequest& a, const RegionRequest& b)
{
    return a.reference == b.reference && a.goggle == b.goggle && samePanel(a, b)
        && a.transfer == b.transfer;
}

// Regions that the memory holds already need not be read again. How a picture that shakes is
// followed depends on all regions: then everything is read anew.
RegionRequest whatIsMissing(const RegionRequest& wanted, const ScanMemory* memory)
{
    RegionRequest missing = wanted;
    const bool wasFollowed = memory != nullptr && memory->regions.follow != nullptr;
    if (memory == nullptr || wasFollowed != (wanted.follow != nullptr)
        || memory->regions.transfer != wanted.transfer
        || (wasFollowed && !sameRegions(memory->regions, wanted))) {
        return missing;
    }
    if (memory->regions.reference == wanted.reference) {
        missing.reference.reset();
    }
    if (memory->regions.goggle == wanted.goggle) {
        missing.goggle.reset();
    }
    if (samePanel(memory->regions, wanted)) {
        missing.panel.reset();
    }
    missing.room = false;
    return missing;
}

void takeFromMemory(const RegionRequest& scanned, const ScanMemory& memory, RegionLight& light)
{
    if (!scanned.room) {
        light.roomCells = memory.scan.light.roomCells;
    }
    if (light.shift.empty()) {
        light.shift = memory.scan.light.shift;
    }
    if (!scanned.reference) {
        light.reference = memory.scan.light.reference;
        light.referenceHigh = memory.scan.light.referenceHigh;
        light.referenceLines = memory.scan.light.referenceLines;
    }
    if (!scanned.goggle) {
        light.goggle = memory.scan.light.goggle;
        light.goggleHigh = memory.scan.light.goggleHigh;
        light.goggleCells = memory.scan.light.goggleCells;
    }
    if (!scanned.panel) {
        light.panelCells = memory.scan.light.panelCells;
    }
}

ScanProgress progressTeller(
    const ClipSetting& setting, const MeasureObserver& observer, const RegionRequest& scanned)
{
    // A rescan of some regions has no complete traces to show before its end.
    if (!observer.onProgress || !scanned.reference || !scanned.goggle) {
        return {};
    }
    return [&setting, &observer](const RegionLight& light, std::int64_t complete) {
        constexpr std::int64_t fewestFrames = 10;
        if (complete < fewestFrames) {
            return;
        }
        const auto frames = static_cast<std::size_t>(complete);
        const Analysis analysis
            = analyseClip(analysisInput(setting, light, frames, false), setting.options);
        observer.onProgress(tracesOf(setting, light, frames, false), analysis.presses);
    };
}

void noteDamage(const ClipIndex& index, const RegionScan& scan, const CaptureClock& clock,
    std::vector<Sentence>& notes)
{
    std::ranges::copy(index.notes, std::back_inserter(notes));
    if (clock.lostFrames() > 0) {
        notes.push_back({"frames-lost", {std::to_string(clock.lostFrames())}});
    }
    if (!scan.missing.empty()) {
        std::string list;
        constexpr std::size_t shown = 8;
        for (std::size_t i = 0; i < std::min(shown, scan.missing.size()); ++i) {
            list += (i == 0 ? "frame " : ", ") + std::to_string(scan.missing[i].value);
        }
        list += scan.missing.size() > shown ? ", …" : "";
        notes.push_back({"frames-damaged",
            {std::to_string(scan.missing.size()), std::to_string(index.frameCount()), list}});
    }
}

void noteShake(const RegionLight& light, std::vector<Sentence>& notes)
{
    if (light.shift.empty()) {
        return;
    }
    double farthest = 0.0;
    std::int64_t lost = 0;
    for (const trace::ShiftPx& shift : light.shift) {
        const double distance = std::hypot(shift.x, shift.y);
        lost += std::isnan(distance) ? 1 : 0;
        farthest = std::fmax(farthest, distance);
    }
    notes.push_back({"hand-held", {fmt::format("{:.1f}", farthest)}});
    if (lost > 0) {
        notes.push_back({"hand-held-lost", {std::to_string(lost)}});
    }
}

// Which of the tester's word and of the rig's checks the figures rest on; that no zero check was
// applied is noted elsewhere.
void noteChecks(const MeasureOptions& options, std::vector<Sentence>& notes)
{
    if (options.transfer) {
        notes.push_back({"transfer-told", {std::string(wireName(*options.transfer))}});
    }
    const FromRig& fromRig = options.fromRig;
    if (!fromRig.zeroCheckDate.empty()) {
        notes.push_back(
            {"zero-check-applied", {fromRig.zeroCheckDate, fmt::format("{:.3f}", options.zeroMs)}});
    }
    if (fromRig.timeBaseCheckDate.empty()) {
        notes.push_back({"no-time-base-check", {}});
    } else {
        notes.push_back({"time-base-check-applied",
            {fromRig.timeBaseCheckDate, fmt::format("{:.4f}", options.captureRate->hz())}});
    }
}

ClipFacts clipFacts(const ClipSetting& setting, const Analysis& analysis, const CaptureRate& rate,
    std::string sha256)
{
    const auto& info = setting.index.info;
    ClipFacts facts;
    facts.file = info.file;
    facts.sha256 = std::move(sha256);
    facts.frames = setting.index.frameCount();
    facts.widthPx = info.orientation.uprightWidthPx();
    facts.heightPx = info.orientation.uprightHeightPx();
    facts.rotationDeg = info.orientation.rotationDeg;
    facts.playRateHz = footage::playRateHz(setting.index);
    facts.captureRate = rate.rate;
    facts.captureRateSource = rate.source;
    facts.lostFrames = setting.clock.lostFrames();
    facts.exposureMs = analysis.exposureMs;
    facts.exposureSource = analysis.exposureSource;
    facts.lineTimeUs = analysis.lineTimeUs;
    facts.lineTimeSource = analysis.lineTimeSource;
    return facts;
}

// What the scan left, and the file's hash, which ran behind it.
struct Scanned
{
    RegionScan scan;
    std::string sha256;
    double seconds = 0.0;
};

JobResult<Scanned> scanClip(const ClipSetting& setting, const std::filesystem::path& clip,
    const ScanMemory* memory, const JobControl& control, const MeasureObserver& observer)
{
    const auto begin = std::chrono::steady_clock::now();
    const RegionRequest wanted = whatIsMissing(setting.stored, memory);
    Scanned scanned;
    scanned.sha256 = memory != nullptr ? memory->sha256 : std::string {};
    {
        std::jthread hashing;
        if (scanned.sha256.empty()) {
            hashing = std::jthread([&] {
                if (auto hash = footage::sha256OfFile(clip, JobControl {control.stop, {}});
                    hash.hasValue()) {
                    scanned.sha256 = std::move(hash).value();
                }
            });
        }
        if (wanted.reference || wanted.goggle || wanted.panel) {
            auto read = scanRegions(
                setting.index, wanted, progressTeller(setting, observer, wanted), control);
            if (read.isError()) {
                return read.error();
            }
            if (read.hasValue()) {
                scanned.scan = std::move(read).value();
            }
        } else {
            scanned.scan.missing = memory->scan.missing;
        }
    }
    if (control.stopRequested()) {
        return Cancelled {};
    }
    if (memory != nullptr) {
        takeFromMemory(wanted, *memory, scanned.scan.light);
    }
    scanned.seconds
        = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    return scanned;
}

// What was measured on: the light without the room's, where that varied.
RegionLight ownLight(
    const ClipSetting& setting, const RegionLight& read, std::vector<Sentence>& notes)
{
    RegionLight light = read;
    const auto& orientation = setting.index.info.orientation;
    const RoomView view {setting.startMs,
        {0, 0, orientation.storedWidthPx, orientation.storedHeightPx}, setting.stored.roomColumns,
        setting.stored.roomRows};
    std::ranges::move(removeRoomLight(view, setting.stored, light), std::back_inserter(notes));
    return light;
}

Measurement assemble(const ClipSetting& setting, const CaptureRate& rate, const RegionSet& regions,
    Scanned scanned, std::vector<Sentence> notes)
{
    const auto frames = static_cast<std::size_t>(setting.index.frameCount());
    const MeasureOptions& options = setting.options;
    const auto& info = setting.index.info;
    const RegionLight light = ownLight(setting, scanned.scan.light, notes);
    AnalysisInput input = analysisInput(setting, light, frames, true);
    if (input.panel) {
        input.panelAsRead = input.panel;
        input.panelAsRead->light
            = std::span(scanned.scan.light.panelCells).first(input.panel->light.size());
    }
    Analysis analysis = analyseClip(input, options);
    spdlog::debug("{}: {} frames scanned in {:.3f} s, {} presses", info.file, frames,
        scanned.seconds, analysis.presses.size());
    Measurement measurement;
    ClipResult& result = measurement.result;
    result.clip = clipFacts(setting, analysis, rate, scanned.sha256);
    result.regions = regions;
    result.scan
        = {ScanMode::Full, scanned.scan.framesDecoded, scanned.seconds, options.shortestHoldMs};
    result.presses = std::move(analysis.presses);
    result.panelTiming = std::move(analysis.panelTiming);
    flagPartlyVisible(regions, result.clip, result.presses);
    noteDamage(setting.index, scanned.scan, setting.clock, notes);
    noteShake(light, notes);
    std::ranges::move(analysis.notes, std::back_inserter(notes));
    noteChecks(options, notes);
    if (options.scan == ScanMode::Sparse) {
        notes.push_back({"sparse-full", {}});
    }
    result.notes = std::move(notes);
    result.traces = tracesOf(setting, light, frames, true);
    measurement.memory = std::make_shared<const ScanMemory>(ScanMemory {info.file, info.sizeBytes,
        info.modifiedNs, scanned.sha256, setting.stored, std::move(scanned.scan)});
    return measurement;
}

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

// The regions to read, and what follows them where the camera shook.
JobResult<RegionRequest> followedRegions(const ClipIndex& index, const MeasureOptions& options,
    const ScanMemory* memory, const JobControl& control, DecidedRegions& decided)
{
    const auto& orientation = index.info.orientation;
    RegionRequest stored = storedRegions(decided.set, orientation, options);
    if (memory != nullptr && decided.seenIn.empty() && sameRegions(memory->regions, stored)) {
        stored.follow = memory->regions.follow;
        return stored;
    }
    auto shake = findHandShake(index, stored, decided.seenIn, control);
    if (shake.isCancelled()) {
        return Cancelled {};
    }
    if (shake.isError()) {
        return shake.error();
    }
    if (shake.value().follow) {
        moveToFirstPicture(index, shake.value().shift, decided);
        stored = storedRegions(decided.set, orientation, options);
    }
    stored.follow = shake.value().follow;
    return stored;
}

} // namespace

JobResult<Measurement> measureClip(const std::filesystem::path& clip, const MeasureOptions& options,
    const JobControl& control, const MeasureObserver& observer,
    const std::shared_ptr<const ScanMemory>& previous)
{
    auto indexed = footage::indexClip(
        clip, footage::defaultIndexCacheFolder(), JobControl {control.stop, {}});
    if (!indexed.hasValue()) {
        return indexed.isCancelled() ? JobResult<Measurement>(Cancelled {})
                                     : JobResult<Measurement>(indexed.error());
    }
    const ClipIndex index = std::move(indexed).value();
    const auto rate = captureRate(index, options);
    if (!rate) {
        return rate.error();
    }
    std::vector<Sentence> notes;
    auto regionsFound = decideRegions(index, options, JobControl {control.stop, {}}, notes);
    if (!regionsFound.hasValue()) {
        return regionsFound.isCancelled() ? JobResult<Measurement>(Cancelled {})
                                          : JobResult<Measurement>(regionsFound.error());
    }
    DecidedRegions decided = std::move(regionsFound).value();
    const RegionSet& regions = decided.set;
    if (const auto problem = regionProblem(index, regions)) {
        return *problem;
    }
    if (const auto problem = exposureProblem(index, options, rate->rate)) {
        return *problem;
    }
    const CaptureClock clock(index, rate->rate);
    const ScanMemory* memory = previous && isSameClip(*previous, index) ? previous.get() : nullptr;
    auto stored = followedRegions(index, options, memory, JobControl {control.stop, {}}, decided);
    if (!stored.hasValue()) {
        return stored.isCancelled() ? JobResult<Measurement>(Cancelled {})
                                    : JobResult<Measurement>(stored.error());
    }
    if (observer.onRegions) {
        observer.onRegions(regions);
    }
    const ClipSetting setting {
        index, options, clock, std::move(stored).value(), startTimesMs(clock, index.frameCount())};
    auto scanned = scanClip(setting, clip, memory, control, observer);
    if (!scanned.hasValue()) {
        return scanned.isCancelled() ? JobResult<Measurement>(Cancelled {})
                                     : JobResult<Measurement>(scanned.error());
    }
    return assemble(setting, *rate, regions, std::move(scanned).value(), std::move(notes));
}

} // namespace twinlamp::measure
