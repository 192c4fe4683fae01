// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/rig_check_scan.h"

#include "core/footage/frame_index.h"
#include "core/footage/frame_source.h"
#include "core/measure/block_map.h"
#include "core/measure/direct_lamps.h"
#include "core/measure/lamp_outline.h"
#include "core/trace/light_meter.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <spdlog/fmt/fmt.h>
#include <thread>
#include <utility>

namespace twinlamp::measure {

using footage::CaptureClock;
using footage::ClipIndex;

namespace {

constexpr std::int64_t stretchFrames = 3000;
constexpr std::size_t enoughEdges = 2;
constexpr double unsureBelow = 0.6;

struct Located
{
    DirectLamps lamps;
    std::int64_t firstFrame = 0;
};

Error notLocated(const ClipIndex& index, std::size_t count)
{
    return {Stage::Measure, Cause::NotLocated,
        count > 1 ? fmt::format("{}: no two lamps that switch together were found in {} frames; "
                                "bring both into direct view, or give --reference X,Y,W,H and "
                                "--goggle X,Y,W,H",
            index.info.file, index.frameCount())
                  : fmt::format("{}: no lamp that switches was found in {} frames; give its region "
                                "with --reference X,Y,W,H",
                      index.info.file, index.frameCount())};
}

JobResult<std::optional<Located>> findLamps(
    const ClipIndex& index, std::size_t count, const JobControl& control)
{
    std::optional<Located> best;
    for (std::int64_t first = 0; first < index.frameCount(); first += stretchFrames) {
        const std::int64_t last = std::min(index.frameCount(), first + stretchFrames);
        auto map = readBlocks(index, {{first}, {last}}, control);
        if (!map.hasValue()) {
            return map.isCancelled() ? JobResult<std::optional<Located>>(Cancelled {})
                                     : JobResult<std::optional<Located>>(map.error());
        }
        auto lamps = searchDirectLamps(std::move(map).value(), count);
        if (lamps && (!best || lamps->edges.size() > best->lamps.edges.size())) {
            best = Located {std::move(*lamps), first};
        }
        if (best && best->lamps.edges.size() >= enoughEdges) {
            break;
        }
    }
    return best;
}

/// Outlines to the pixel, stored; the blocks' own where the pictures cannot be had.
std::vector<RectPx> outlines(const ClipIndex& index, const Located& located)
{
    std::vector<RectPx> rects;
    auto source = footage::FrameSource::open(std::make_shared<const ClipIndex>(index), {});
    const auto& orientation = index.info.orientation;
    const RectPx picture {0, 0, orientation.storedWidthPx, orientation.storedHeightPx};
    const int margin = std::max(8, picture.width / 60);
    for (const DirectLamp& lamp : located.lamps.lamps) {
        RectPx rect = lamp.rect;
        if (source) {
            const RectPx area = grown(lamp.rect, margin, picture);
            const auto steps
                = pixelSteps(*source, located.lamps.edges, located.firstFrame, area, 2, 2);
            rect = grown(refinedRect(steps, area, lamp.rect, 0.25F), 2, picture);
        }
        rects.push_back(rect);
    }
    return rects;
}

struct CheckRegions
{
    std::vector<RectPx> upright;
    RegionSource source = RegionSource::Given;
    std::vector<Sentence> notes;
};

JobResult<CheckRegions> decideRegions(const ClipIndex& index, const MeasureOptions& options,
    std::size_t count, const JobControl& control)
{
    CheckRegions regions;
    if (options.reference && (count == 1 || options.goggle)) {
        regions.upright.push_back(*options.reference);
        if (count > 1) {
            regions.upright.push_back(*options.goggle);
        }
        return regions;
    }
    auto searched = findLamps(index, count, control);
    if (!searched.hasValue()) {
        return searched.isCancelled() ? JobResult<CheckRegions>(Cancelled {})
                                      : JobResult<CheckRegions>(searched.error());
    }
    const std::optional<Located> located = std::move(searched).value();
    if (!located) {
        return notLocated(index, count);
    }
    regions.source = RegionSource::Located;
    double confidence = 1.0;
    for (const RectPx& stored : outlines(index, *located)) {
        regions.upright.push_back(footage::toUpright(stored, index.info.orientation));
    }
    for (const DirectLamp& lamp : located->lamps.lamps) {
        confidence = std::min(confidence, lamp.confidence);
    }
    if (count > 1) {
        std::ranges::sort(regions.upright, {}, &RectPx::x);
        regions.notes.push_back({"lamps-by-place", {}});
    }
    if (confidence < unsureBelow) {
        regions.notes.push_back({"lamp-located-unsure", {fmt::format("{:.2f}", confidence)}});
    }
    return regions;
}

std::optional<Error> regionProblem(const ClipIndex& index, const CheckRegions& regions)
{
    constexpr std::array names {"reference", "goggle"};
    for (std::size_t i = 0; i < regions.upright.size(); ++i) {
        if (const auto checked = checkedRegion(index, regions.upright[i], names[i]); !checked) {
            return checked.error();
        }
    }
    if (regions.upright.size() > 1
        && !intersection(regions.upright[0], regions.upright[1]).isEmpty()) {
        return Error {Stage::Measure, Cause::InvalidValue,
            fmt::format("{}: the regions of the two lamps overlap and would show the same lamp; "
                        "give each its own with --reference and --goggle",
                index.info.file)};
    }
    return std::nullopt;
}

LampScan lampScan(RectPx stored, int lines, std::vector<float> light, std::vector<float> high,
    const std::vector<float>& cells)
{
    LampScan lamp {stored, std::move(light), std::move(high), {}};
    if (cells.size() == lamp.light.size() * static_cast<std::size_t>(lines)) {
        lamp.lines = linesApart(stored, lines, cells);
    } else {
        lamp.lines = linesApart(stored, 1, lamp.light);
    }
    return lamp;
}

/// The rate to work with, and whether anybody vouches for it.
Result<CaptureRate> workingRate(
    const ClipIndex& index, const MeasureOptions& options, bool mayAssume)
{
    auto rate = captureRate(index, options);
    if (rate || !mayAssume) {
        return rate;
    }
    return CaptureRate {frameRateFromHz(footage::playRateHz(index)), RateSource::File};
}

ClipFacts factsOf(
    const ClipIndex& index, const CaptureRate& rate, const CaptureClock& clock, std::string sha256)
{
    ClipFacts facts;
    facts.file = index.info.file;
    facts.sha256 = std::move(sha256);
    facts.frames = index.frameCount();
    facts.widthPx = index.info.orientation.uprightWidthPx();
    facts.heightPx = index.info.orientation.uprightHeightPx();
    facts.rotationDeg = index.info.orientation.rotationDeg;
    facts.playRateHz = footage::playRateHz(index);
    facts.captureRate = rate.rate;
    facts.captureRateSource = rate.source;
    facts.lostFrames = clock.lostFrames();
    return facts;
}

/// Lines of two rows or more: two rows share their colour samples.
int linesOf(RectPx stored) { return std::clamp(stored.height / 2, 1, checkLines); }

struct Read
{
    RegionScan scan;
    RegionRequest request;
    std::string sha256;
};

JobResult<Read> readLamps(const std::filesystem::path& clip, const ClipIndex& index,
    const CheckRegions& regions, const MeasureOptions& options, const JobControl& control)
{
    Read read;
    const auto& orientation = index.info.orientation;
    read.request.threads = options.threads;
    read.request.transfer = options.transfer;
    read.request.reference = footage::toStored(regions.upright[0], orientation);
    read.request.referenceRows = linesOf(*read.request.reference);
    if (regions.upright.size() > 1) {
        read.request.goggle = footage::toStored(regions.upright[1], orientation);
        read.request.goggleRows = linesOf(*read.request.goggle);
    }
    {
        const std::jthread hashing([&] {
            if (auto hash = footage::sha256OfFile(clip, JobControl {control.stop, {}});
                hash.hasValue()) {
                read.sha256 = std::move(hash).value();
            }
        });
        auto scanned = scanRegions(index, read.request, {}, control);
        if (!scanned.hasValue()) {
            return scanned.isCancelled() ? JobResult<Read>(Cancelled {})
                                         : JobResult<Read>(scanned.error());
        }
        read.scan = std::move(scanned).value();
    }
    if (control.stopRequested()) {
        return Cancelled {};
    }
    return read;
}

} // namespace

JobResult<CheckScan> scanForCheck(const std::filesystem::path& clip, const MeasureOptions& options,
    std::size_t lampCount, bool mayAssumeRate, const JobControl& control)
{
    auto indexed = footage::indexClip(
        clip, footage::defaultIndexCacheFolder(), JobControl {control.stop, {}});
    if (!indexed.hasValue()) {
        return indexed.isCancelled() ? JobResult<CheckScan>(Cancelled {})
                                     : JobResult<CheckScan>(indexed.error());
    }
    const ClipIndex index = std::move(indexed).value();
    const auto rate = workingRate(index, options, mayAssumeRate);
    if (!rate) {
        return rate.error();
    }
    auto decided = decideRegions(index, options, lampCount, JobControl {control.stop, {}});
    if (!decided.hasValue()) {
        return decided.isCancelled() ? JobResult<CheckScan>(Cancelled {})
                                     : JobResult<CheckScan>(decided.error());
    }
    CheckRegions regions = std::move(decided).value();
    if (const auto problem = regionProblem(index, regions)) {
        return *problem;
    }
    if (!mayAssumeRate) {
        if (const auto problem = exposureProblem(index, options, rate->rate)) {
            return *problem;
        }
    }
    auto lamps = readLamps(clip, index, regions, options, control);
    if (!lamps.hasValue()) {
        return lamps.isCancelled() ? JobResult<CheckScan>(Cancelled {})
                                   : JobResult<CheckScan>(lamps.error());
    }
    Read read = std::move(lamps).value();
    const CaptureClock clock(index, rate->rate);
    CheckScan scan;
    RegionLight& light = read.scan.light;
    scan.lamps.push_back(lampScan(*read.request.reference, read.request.referenceRows,
        std::move(light.reference), std::move(light.referenceHigh), light.referenceLines));
    if (read.request.goggle) {
        scan.lamps.push_back(lampScan(*read.request.goggle, read.request.goggleRows,
            std::move(light.goggle), std::move(light.goggleHigh), light.goggleCells));
    }
    scan.startMs = startTimesMs(clock, index.frameCount());
    for (const FrameIndex k : clock.framesAfterGaps()) {
        scan.framesAfterGaps.push_back(static_cast<std::size_t>(k.value));
    }
    scan.storedRows = index.info.orientation.storedHeightPx;
    scan.clip = factsOf(index, *rate, clock, std::move(read.sha256));
    scan.rateAssumed = !captureRate(index, options);
    scan.regions = std::move(regions.upright);
    scan.regionSource = regions.source;
    scan.notes = std::move(regions.notes);
    if (clock.lostFrames() > 0) {
        scan.notes.push_back({"frames-lost", {std::to_string(clock.lostFrames())}});
    }
    return scan;
}

} // namespace twinlamp::measure
