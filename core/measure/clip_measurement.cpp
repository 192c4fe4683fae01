// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/clip_measurement.h"

#include "core/footage/capture_clock.h"
#include "core/footage/frame_scan.h"
#include "core/measure/clip_analysis.h"
#include "core/measure/clip_doubts.h"
#include "core/measure/clip_notes.h"
#include "core/measure/clip_regions.h"
#include "core/measure/clip_setting.h"
#include "core/measure/clip_setup.h"
#include "core/measure/fill_in.h"
#include "core/measure/hand_shake.h"
#include "core/measure/memory_budget.h"
#include "core/measure/region_scan.h"
#include "core/measure/scan_memory.h"
#include "core/measure/scan_store.h"
#include "core/measure/second_look.h"
#include "core/measure/sparse_measurement.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <iterator>
#include <optional>
#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>
#include <thread>

namespace twinlamp::measure {

using footage::CaptureClock;
using footage::ClipIndex;

namespace {

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
    std::optional<AnalysedLight> analysed; ///< where deciding what to decode took it
    std::string sha256;
    double seconds = 0.0;
    double secondsBefore = 0.0; ///< of a scan that this one goes on from
    std::vector<Sentence> notes;
};

/// The frames that an earlier scan left out.
JobResult<RegionScan> fillInFrom(const ScanMemory& memory, const ClipSetting& setting,
    const JobControl& control, const MeasureObserver& observer)
{
    const auto begin = std::chrono::steady_clock::now();
    RegionScan left;
    auto filled = fillIn(setting.index, setting.stored, memory.scan, control, left);
    if (filled.isCancelled() && observer.onLeft) {
        const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - begin;
        auto further = std::make_shared<ScanMemory>(
            ScanMemory {memory.file, memory.sizeBytes, memory.modifiedNs, memory.sha256,
                memory.regions, std::move(left), memory.settled, memory.seconds + taken.count()});
        observer.onLeft(std::move(further));
    }
    return filled;
}

/// Puts what was read into `scanned`. @return why there is nothing
std::optional<JobResult<Scanned>> readRegions(const ClipSetting& setting,
    const RegionRequest& wanted, const ScanMemory* memory, const JobControl& control,
    const MeasureObserver& observer, Scanned& scanned)
{
    if (setting.options.scan == ScanMode::Sparse) {
        if (setting.stored.follow) {
            scanned.notes.push_back({"sparse-not-proved", {"the camera was held in the hand"}});
        } else if (!isSparseScanWorthIt(setting)) {
            scanned.notes.push_back(
                {"sparse-no-gain", {fmt::format("{:.0f}", setting.options.reliedHoldMs())}});
        } else {
            auto measured
                = measureSparsely(setting, control, progressTeller(setting, observer, wanted));
            if (!measured.hasValue()) {
                return measured.isCancelled() ? JobResult<Scanned>(Cancelled {})
                                              : JobResult<Scanned>(measured.error());
            }
            SparseMeasurement sparse = std::move(measured).value();
            scanned.scan = std::move(sparse.scan);
            scanned.analysed = std::move(sparse.analysed);
            scanned.notes = std::move(sparse.notes);
            scanned.seconds = sparse.scanSeconds;
            return std::nullopt;
        }
    }
    const bool goesOn = memory != nullptr && canBeFilledIn(*memory, wanted);
    scanned.secondsBefore = goesOn ? memory->seconds : 0.0;
    auto read = goesOn
        ? fillInFrom(*memory, setting, control, observer)
        : scanRegions(setting.index, wanted, progressTeller(setting, observer, wanted), control);
    if (!read.hasValue()) {
        return read.isCancelled() ? JobResult<Scanned>(Cancelled {})
                                  : JobResult<Scanned>(read.error());
    }
    scanned.scan = std::move(read).value();
    return std::nullopt;
}

std::int64_t readFrames(const RegionLight& light)
{
    return std::ranges::count_if(light.reference, [](float value) { return std::isfinite(value); });
}

// What the memory leaves open. A sparse scan reads all regions in the frames that it decodes: where
// one is open, the others' light of the frames in between is of no use to it.
RegionRequest whatToRead(const ClipSetting& setting, const ScanMemory* memory)
{
    RegionRequest missing = whatIsMissing(setting.stored, memory);
    const bool isAnyOpen = missing.reference || missing.goggle || missing.panel;
    return isAnyOpen && setting.options.scan == ScanMode::Sparse ? setting.stored : missing;
}

JobResult<Scanned> scanClip(const ClipSetting& setting, const std::filesystem::path& clip,
    const ScanMemory* memory, const JobControl& control, const MeasureObserver& observer)
{
    const auto begin = std::chrono::steady_clock::now();
    const RegionRequest wanted = whatToRead(setting, memory);
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
            if (auto nothing = readRegions(setting, wanted, memory, control, observer, scanned)) {
                return std::move(*nothing);
            }
        } else if (memory != nullptr) {
            scanned.scan.missing = memory->scan.missing;
        }
    }
    if (control.stopRequested()) {
        return Cancelled {};
    }
    if (memory != nullptr) {
        takeFromMemory(wanted, *memory, scanned.scan.light);
        scanned.scan.map = scanned.scan.map ? scanned.scan.map : memory->scan.map;
    }
    if (!scanned.analysed) {
        scanned.seconds
            = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    }
    scanned.seconds += scanned.secondsBefore;
    return scanned;
}

Measurement assemble(const ClipSetting& setting, const CaptureRate& rate, const RegionSet& regions,
    Scanned scanned, std::vector<Sentence> notes)
{
    const auto frames = static_cast<std::size_t>(setting.index.frameCount());
    const MeasureOptions& options = setting.options;
    SettledRegions settled {options, regions, notes};
    const auto& info = setting.index.info;
    AnalysedLight analysed = scanned.analysed ? std::move(*scanned.analysed)
                                              : analysedLight(setting, scanned.scan.light);
    Analysis& analysis = analysed.analysis;
    std::ranges::move(analysed.roomNotes, std::back_inserter(notes));
    spdlog::debug("{}: {} frames scanned in {:.3f} s, {} presses", info.file, frames,
        scanned.seconds, analysis.presses.size());
    Measurement measurement;
    ClipResult& result = measurement.result;
    result.clip = clipFacts(setting, analysis, rate, scanned.sha256);
    result.regions = regions;
    result.scan = {scanned.scan.isComplete ? ScanMode::Full : ScanMode::Sparse,
        scanned.scan.framesDecoded, scanned.seconds, options.reliedHoldMs()};
    result.presses = std::move(analysis.presses);
    result.panelTiming = std::move(analysis.panelTiming);
    flagPartlyVisible(regions, result.clip, result.presses);
    noteDamage(setting.index, scanned.scan, setting.clock, notes);
    noteShake(analysed.own, notes);
    std::ranges::move(analysis.notes, std::back_inserter(notes));
    noteChecks(options, notes);
    std::ranges::move(scanned.notes, std::back_inserter(notes));
    if (result.scan.mode == ScanMode::Sparse) {
        noteSparseScan(options, readFrames(scanned.scan.light), result.clip.frames, notes);
    }
    result.notes = std::move(notes);
    result.traces = tracesOf(setting, analysed.own, frames, true);
    measurement.memory = std::make_shared<const ScanMemory>(
        ScanMemory {info.file, info.sizeBytes, info.modifiedNs, scanned.sha256, setting.stored,
            std::move(scanned.scan), std::move(settled), scanned.seconds});
    return measurement;
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

/// Memory that measuring a clip takes: its light, twice while presses are looked for in it, its
/// light map, and the pictures that decoders hold.
std::int64_t bytesToMeasure(const ClipIndex& index, const RegionRequest& request)
{
    constexpr std::int64_t copiesOfLight = 2;
    constexpr std::int64_t picturesOfADecoder = 12;
    constexpr std::int64_t bytesPerPixel = 3; // as if each had 16 bits and a quarter of the colour
    const auto& orientation = index.info.orientation;
    const std::int64_t pixels
        = std::int64_t {orientation.storedWidthPx} * orientation.storedHeightPx;
    const std::int64_t ofMap = request.keepMap ? std::min(mostMapBytes,
                                   trace::mapBytes(orientation.storedWidthPx,
                                       orientation.storedHeightPx, index.frameCount()))
                                               : 0;
    return copiesOfLight * lightBytesPerFrame(request) * index.frameCount() + ofMap
        + footage::scanThreads({request.threads}) * picturesOfADecoder * bytesPerPixel * pixels;
}

/// What a scan is given besides the clip's setting.
struct ScanMeans
{
    const std::filesystem::path& clip;
    const std::shared_ptr<const ScanMemory>& earlier;
    const JobControl& control;
    const MeasureObserver& observer;
};

JobResult<Measurement> scannedAndTimed(const ClipSetting& setting, const CaptureRate& rate,
    const RegionSet& regions, std::vector<Sentence> notes, const ScanMeans& means)
{
    // Others may be measured at the same time.
    const auto memoryShare = scanMemoryBudget().take(
        bytesToMeasure(setting.index, setting.stored), means.control.stop);
    if (!memoryShare) {
        return Cancelled {};
    }
    const ScanMemory* memory = means.earlier.get();
    std::optional<ScanMemory> blank;
    if (memory == nullptr && means.observer.onLeft) {
        memory = &blank.emplace(
            blankMemory(setting.index, setting.stored, {setting.options, regions, notes}));
    }
    auto scanned = scanClip(setting, means.clip, memory, means.control, means.observer);
    if (!scanned.hasValue()) {
        return scanned.isCancelled() ? JobResult<Measurement>(Cancelled {})
                                     : JobResult<Measurement>(scanned.error());
    }
    return assemble(setting, rate, regions, std::move(scanned).value(), std::move(notes));
}

/// Whether an earlier scan read the regions that these options ask for: then nothing is looked for
/// again.
bool areSettled(const std::shared_ptr<const ScanMemory>& earlier, const MeasureOptions& options)
{
    return earlier && earlier->settled && settlesTheSame(*earlier->settled, options);
}

/// Where the regions are; what the options leave open is looked for.
JobResult<DecidedRegions> regionsOf(const ClipIndex& index, const MeasureOptions& options,
    const std::shared_ptr<const ScanMemory>& earlier, const JobControl& control,
    std::vector<Sentence>& notes)
{
    if (areSettled(earlier, options)) {
        notes = earlier->settled->notes;
        return DecidedRegions {earlier->settled->set, false, {}};
    }
    auto found = decideRegions(index, options, control, notes);
    if (found.hasValue()) {
        if (auto problem = regionProblem(index, found.value().set)) {
            return std::move(*problem);
        }
    }
    return found;
}

// Located regions are exact or nothing.
bool allRegionsGiven(const MeasureOptions& options)
{
    return options.reference && options.goggle && (options.panel || options.withoutPanel);
}

std::shared_ptr<const ScanMemory> earlierScan(const std::filesystem::path& clip,
    const ClipIndex& index, const std::shared_ptr<const ScanMemory>& previous,
    const LightMapUse& map)
{
    if (previous && isSameClip(*previous, index)) {
        return previous;
    }
    return map.lookAgain ? loadScan(map.folder, clip, index) : nullptr;
}

/// What the map tells of regions that were moved, with nothing decoded; nothing where that does
/// not suffice, where nothing was moved, or there is no earlier scan.
std::optional<Measurement> lookedAgain(const ClipSetting& setting, const CaptureRate& rate,
    const RegionSet& regions, const std::vector<Sentence>& notes,
    const std::shared_ptr<const ScanMemory>& earlier)
{
    if (!earlier || !allRegionsGiven(setting.options)) {
        return std::nullopt;
    }
    const auto begin = std::chrono::steady_clock::now();
    auto look = secondLook(setting.stored, *earlier);
    if (!look) {
        return std::nullopt;
    }
    Scanned scanned;
    scanned.scan = std::move(look->scan);
    scanned.sha256 = earlier->sha256;
    scanned.notes.push_back({"second-look", {fmt::format("{}", fmt::join(look->fromMap, ", "))}});
    scanned.seconds
        = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    Measurement measurement = assemble(setting, rate, regions, std::move(scanned), notes);
    measurement.memory = earlier; // what the map tells is no ground for a third look
    return measurement;
}

} // namespace

JobResult<Measurement> measureClip(const std::filesystem::path& clip, const MeasureOptions& options,
    const JobControl& control, const MeasureObserver& observer,
    const std::shared_ptr<const ScanMemory>& previous, const LightMapUse& map)
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
    if (const auto problem = exposureProblem(index, options, rate->rate)) {
        return *problem;
    }
    const auto earlier = earlierScan(clip, index, previous, map);
    std::vector<Sentence> notes;
    auto regionsFound = regionsOf(index, options, earlier, JobControl {control.stop, {}}, notes);
    if (!regionsFound.hasValue()) {
        return regionsFound.isCancelled() ? JobResult<Measurement>(Cancelled {})
                                          : JobResult<Measurement>(regionsFound.error());
    }
    DecidedRegions decided = std::move(regionsFound).value();
    const RegionSet& regions = decided.set;
    const CaptureClock clock(index, rate->rate);
    ClipSetting setting {index, options, clock,
        storedRegions(regions, index.info.orientation, options),
        startTimesMs(clock, index.frameCount())};
    if (auto looked
        = lookedAgain(setting, *rate, regions, notes, map.lookAgain ? earlier : nullptr)) {
        return std::move(*looked);
    }
    auto stored
        = followedRegions(index, options, earlier.get(), JobControl {control.stop, {}}, decided);
    if (!stored.hasValue()) {
        return stored.isCancelled() ? JobResult<Measurement>(Cancelled {})
                                    : JobResult<Measurement>(stored.error());
    }
    if (observer.onRegions) {
        observer.onRegions(regions);
    }
    setting.stored = std::move(stored).value();
    setting.stored.keepMap = map.keep;
    auto measured = scannedAndTimed(
        setting, *rate, regions, std::move(notes), {clip, earlier, control, observer});
    if (measured.hasValue() && map.keep && measured.value().result.scan.framesDecoded > 0) {
        storeScan(map.folder, clip, *measured.value().memory);
    }
    return measured;
}

} // namespace twinlamp::measure
