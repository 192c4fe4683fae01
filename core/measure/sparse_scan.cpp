// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/sparse_scan.h"

#include "core/footage/chunk_decoder.h"
#include "core/footage/scan_plan.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <mutex>
#include <thread>

namespace twinlamp::measure {

using footage::ChunkDecoder;
using footage::ClipIndex;
using footage::PictureView;

namespace {

// Looked at before all others, spread over the clip: enough that lit and dark lamps are both seen
// in any clip with presses worth measuring.
constexpr std::int64_t firstSamples = 24;
// In gaps of the longest kind. A switching at a section's border costs a keyframe once more; a
// longer section keeps more decoders waiting.
constexpr double gapsPerSection = 6.0;

RectPx wholePicture(const ClipIndex& index)
{
    return {0, 0, index.info.orientation.storedWidthPx, index.info.orientation.storedHeightPx};
}

std::vector<FrameRange> firstSampleRanges(const ClipIndex& index)
{
    std::vector<FrameRange> ranges;
    const auto all = static_cast<std::int64_t>(index.keyframes.size());
    const std::int64_t count = std::min(firstSamples, all);
    for (std::int64_t i = 0; i < count; ++i) {
        const FrameIndex k = index.keyframes[static_cast<std::size_t>(i * all / count)];
        ranges.push_back({k, {k.value + 1}});
    }
    return ranges;
}

double scatterOf(std::span<const double> values)
{
    const double middle = trace::medianOf(values);
    std::vector<double> away;
    for (const double value : values) {
        away.push_back(std::abs(value - middle));
    }
    constexpr double normalConsistency = 1.4826;
    return normalConsistency * trace::medianOf(away);
}

/// Change of light between samples that is none. Where lit and dark ones are among them, a part of
/// what they differ by; else what stands out of their scatter.
double toleranceOf(std::span<const float> light)
{
    std::vector<double> values;
    for (const float value : light) {
        if (std::isfinite(value)) {
            values.push_back(static_cast<double>(value));
        }
    }
    constexpr double leastTolerance = 0.001; // half of the smallest step that is taken for one
    if (values.empty()) {
        return leastTolerance;
    }
    std::ranges::sort(values);
    const double range = values.back() - values.front();
    const auto lit = std::ranges::upper_bound(values, values.front() + 0.5 * range);
    const double scatter
        = std::max(scatterOf({values.begin(), lit}), scatterOf({lit, values.end()}));
    constexpr double clearly = 12.0; // 24 values of noise alone span seven times this scatter
    constexpr double scatters = 6.0;
    return std::max(leastTolerance,
        range > clearly * scatter ? unchangedShare * range : scatters * scatterOf(values));
}

} // namespace

SparseScan::SparseScan(const ClipIndex& index, const RegionRequest& request,
    std::span<const double> startMs, const JobControl& control, ScanProgress progress)
    : m_index(index)
    , m_startMs(startMs)
    , m_control(control)
    , m_options({request.threads})
    , m_reader(request, wholePicture(index), index.frameCount(), footage::scanThreads(m_options),
          std::move(progress))
    , m_visit([this](FrameIndex frame, const PictureView& picture, int worker) {
        m_reader.visit(frame, picture, worker);
    })
    , m_decoded(static_cast<std::size_t>(index.frameCount()), 0)
{
}

SeenSoFar SparseScan::seen() const
{
    return {m_index.keyframes, m_startMs, light().reference, light().goggle, m_decoded};
}

JobResult<SparseScan::Done> SparseScan::decodeRanges(std::span<const FrameRange> ranges)
{
    // What is still to come is not known: the clip's own length stands for it.
    const std::int64_t before = std::ranges::count(m_decoded, 1);
    JobControl control {m_control.stop, {}};
    if (m_control.report) {
        control.report = [&](std::int64_t done, std::int64_t) {
            m_control.report(std::min(before + done, m_index.frameCount()), m_index.frameCount());
        };
    }
    auto scanned = footage::scanRanges(m_index, ranges, m_visit, m_options, control);
    if (scanned.isCancelled()) {
        return Cancelled {};
    }
    if (scanned.isError()) {
        return scanned.error();
    }
    footage::addReport(scanned.value(), m_report);
    for (const FrameRange range : ranges) {
        std::fill(m_decoded.begin() + range.first.value, m_decoded.begin() + range.last.value, 1);
    }
    return Done {};
}

std::vector<FrameRange> SparseScan::sections(double longestGapMs) const
{
    std::vector<FrameRange> sections;
    FrameIndex first {0};
    const auto startOf = [&](FrameIndex k) { return m_startMs[static_cast<std::size_t>(k.value)]; };
    for (const FrameIndex k : m_index.keyframes) {
        if (startOf(k) - startOf(first) >= gapsPerSection * longestGapMs) {
            sections.push_back({first, k});
            first = k;
        }
    }
    sections.push_back({first, {m_index.frameCount()}});
    return sections;
}

std::size_t SparseScan::keptDecoders() const
{
    // A decoder waits with a handful of pictures, of which each is as large as if it had 16 bits.
    constexpr double bytesPerPixel = 3.0;
    constexpr double pictures = 6.0;
    constexpr double mostBytes = 200e6;
    constexpr std::size_t fewest = 2;
    constexpr std::size_t most = 8;
    const auto each
        = bytesPerPixel * pictures * static_cast<double>(wholePicture(m_index).areaPx());
    return std::clamp(static_cast<std::size_t>(mostBytes / each), fewest, most);
}

JobResult<SparseScan::Done> SparseScan::decodeSections(const SparseNeeds& needs)
{
    const std::vector<FrameRange> all = sections(needs.longestGapMs);
    const std::shared_ptr<const ClipIndex> index(std::shared_ptr<const void> {}, &m_index);
    std::atomic<bool> stopped {false};
    std::atomic<std::size_t> next {0};
    std::mutex mutex;
    std::int64_t framesPassed = 0;
    std::optional<Error> error;
    const auto work = [&](int worker) {
        ChunkDecoder decoder(
            {index, m_visit, worker, m_control.stop, stopped, [] {}, keptDecoders()});
        for (std::size_t i = next++; i < all.size() && !stopped; i = next++) {
            auto ranges = nextRanges(seen(), needs, all[i]);
            for (; !ranges.empty() && !stopped; ranges = nextRanges(seen(), needs, all[i])) {
                for (const FrameRange range : ranges) {
                    auto piece = footage::wholeChunk(m_index, range);
                    piece.goesOn = true;
                    if (!decoder.take(piece)) {
                        break;
                    }
                    std::fill(m_decoded.begin() + range.first.value,
                        m_decoded.begin() + range.last.value, 1);
                }
            }
            m_reader.pass(all[i]);
            const std::scoped_lock lock(mutex);
            framesPassed += all[i].frameCount();
            stopped = stopped || !m_control.tick(framesPassed, m_index.frameCount());
        }
        const std::scoped_lock lock(mutex);
        footage::addReport(decoder.report(), m_report);
        error = error ? error : decoder.error();
    };
    {
        std::vector<std::jthread> pool;
        for (int worker = 1; worker < footage::scanThreads(m_options); ++worker) {
            pool.emplace_back([&work, worker] { work(worker); });
        }
        work(0);
    }
    // What is decoded later lies among the frames that were told of.
    m_reader.endProgress();
    if (m_control.stopRequested()) {
        return Cancelled {};
    }
    return error ? JobResult<Done>(*error) : JobResult<Done>(Done {});
}

JobResult<SparseScan::Done> SparseScan::timed(const std::function<JobResult<Done>()>& work)
{
    const auto begin = std::chrono::steady_clock::now();
    auto done = work();
    m_seconds += std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    return done;
}

JobResult<SparseScan::Done> SparseScan::decodeMissing(const SparseNeeds& needs)
{
    for (auto ranges = nextRanges(seen(), needs, m_index.all()); !ranges.empty();
         ranges = nextRanges(seen(), needs, m_index.all())) {
        auto done = decodeRanges(ranges);
        if (!done.hasValue()) {
            return done;
        }
    }
    return Done {};
}

JobResult<SparseScan::Done> SparseScan::decodeFirst(SparseNeeds& needs)
{
    return timed([&]() -> JobResult<Done> {
        auto done = decodeRanges(firstSampleRanges(m_index));
        if (!done.hasValue()) {
            return done;
        }
        needs.referenceTolerance = toleranceOf(light().reference);
        needs.goggleTolerance = toleranceOf(light().goggle);
        done = decodeSections(needs);
        return done.hasValue() ? decodeMissing(needs) : done;
    });
}

JobResult<SparseScan::Done> SparseScan::decodeMore(const SparseNeeds& needs)
{
    return timed([&] { return decodeMissing(needs); });
}

JobResult<SparseScan::Done> SparseScan::decodeAll()
{
    return timed([&] { return decodeRanges(undecodedRanges(m_decoded)); });
}

RegionScan SparseScan::soFar() const
{
    RegionScan scan {light(), m_report.framesDecoded, m_report.missing, m_report.firstDecodeError,
        std::ranges::count(m_decoded, 0) == 0, m_reader.map()};
    if (!scan.isComplete) {
        scan.decoded = m_decoded;
    }
    std::ranges::sort(scan.missing);
    return scan;
}

} // namespace twinlamp::measure
