// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_scan.h"

#include "core/base/contracts.h"
#include "core/footage/chunk_decoder.h"
#include "core/footage/scan_deal.h"
#include "core/footage/scan_plan.h"

#include <algorithm>
#include <atomic>
#include <iterator>
#include <mutex>
#include <optional>
#include <thread>

namespace twinlamp::footage {

namespace {

/// What the workers of one scan share.
class Scan
{
public:
    Scan(const ClipIndex& index, std::int64_t total, const VisitFrame& visit,
        const JobControl& control, std::vector<ScanChunk> chunks, int threads)
        : m_index(std::shared_ptr<const void> {}, &index) // owned by the caller during the scan
        , m_total(total)
        , m_visit(visit)
        , m_control(control)
        , m_deal(std::move(chunks), threads)
    {
    }

    void work(int worker);
    [[nodiscard]] JobResult<ScanReport> outcome();

private:
    void countVisit();
    void handIn(const ChunkDecoder& decoder);

    std::shared_ptr<const ClipIndex> m_index;
    std::int64_t m_total;
    const VisitFrame& m_visit;
    const JobControl& m_control;
    ScanDeal m_deal;
    std::atomic<bool> m_stopped {false};
    std::mutex m_mutex; ///< guards what follows
    std::int64_t m_done = 0;
    ScanReport m_report;
    std::optional<Error> m_error;
};

void Scan::countVisit()
{
    const std::scoped_lock lock(m_mutex);
    ++m_done;
    if (!m_control.tick(m_done, m_total)) {
        m_stopped = true;
    }
}

void Scan::handIn(const ChunkDecoder& decoder)
{
    const std::scoped_lock lock(m_mutex);
    addReport(decoder.report(), m_report);
    if (decoder.error() && !m_error) {
        m_error = decoder.error();
    }
}

void Scan::work(int number)
{
    ChunkDecoder decoder(
        {m_index, m_visit, number, m_control.stop, m_stopped, [this] { countVisit(); }, 1});
    while (!m_stopped) {
        const auto chunk = m_deal.next(number);
        if (!chunk || !decoder.take(*chunk)) {
            break;
        }
    }
    handIn(decoder);
}

JobResult<ScanReport> Scan::outcome()
{
    // A stop also makes reads fail; that is no error.
    if (m_control.stopRequested()) {
        return Cancelled {};
    }
    if (m_error) {
        return std::move(*m_error);
    }
    std::ranges::sort(m_report.missing);
    return std::move(m_report);
}

JobResult<ScanReport> scanChunks(const ClipIndex& index, std::vector<ScanChunk> chunks,
    const VisitFrame& visit, int threads, const JobControl& control)
{
    std::int64_t total = 0;
    for (const ScanChunk& chunk : chunks) {
        total += chunk.frames.frameCount();
    }
    const int workers = std::max(1, std::min(threads, static_cast<int>(chunks.size())));
    Scan scan(index, total, visit, control, std::move(chunks), workers);
    {
        std::vector<std::jthread> pool;
        for (int number = 1; number < workers; ++number) {
            pool.emplace_back([&scan, number] { scan.work(number); });
        }
        scan.work(0);
    }
    return scan.outcome();
}

bool isInside(const ClipIndex& index, FrameRange range)
{
    return range.frameCount() == 0
        || (range.first.value >= 0 && range.last.value <= index.frameCount());
}

} // namespace

void addReport(const ScanReport& part, ScanReport& whole)
{
    whole.framesDecoded += part.framesDecoded;
    std::ranges::copy(part.missing, std::back_inserter(whole.missing));
    if (whole.firstDecodeError.empty()) {
        whole.firstDecodeError = part.firstDecodeError;
    }
}

int scanThreads(const ScanOptions& options)
{
    return options.threads > 0 ? options.threads
                               : std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

JobResult<ScanReport> scanFrames(const ClipIndex& index, FrameRange range, const VisitFrame& visit,
    const ScanOptions& options, const JobControl& control)
{
    TL_EXPECTS(isInside(index, range));
    const int threads = scanThreads(options);
    return scanChunks(index, planScan(index, range, threads), visit, threads, control);
}

JobResult<ScanReport> scanRanges(const ClipIndex& index, std::span<const FrameRange> ranges,
    const VisitFrame& visit, const ScanOptions& options, const JobControl& control)
{
    const int threads = scanThreads(options);
    std::vector<ScanChunk> chunks;
    for (const FrameRange range : ranges) {
        TL_EXPECTS(isInside(index, range));
        // Many ranges keep all threads busy; a single one is shared as a whole clip is.
        std::ranges::copy(
            planScan(index, range, ranges.size() == 1 ? threads : 1), std::back_inserter(chunks));
    }
    return scanChunks(index, std::move(chunks), visit, threads, control);
}

} // namespace twinlamp::footage
