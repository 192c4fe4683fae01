// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_scan.h"

#include "core/base/contracts.h"
#include "core/footage/clip_reader.h"
#include "core/footage/picture_access.h"
#include "core/footage/scan_plan.h"

#include <algorithm>
#include <atomic>
#include <mutex>
#include <optional>
#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>
#include <thread>

namespace twinlamp::footage {

namespace {

/// What the workers of one scan share.
class Scan
{
public:
    Scan(const ClipIndex& index, FrameRange range, const VisitFrame& visit,
        const JobControl& control, std::vector<ScanChunk> chunks)
        : m_index(std::shared_ptr<const void> {}, &index) // owned by the caller during the scan
        , m_total(range.frameCount())
        , m_visit(visit)
        , m_control(control)
        , m_chunks(std::move(chunks))
    {
    }

    void work(int worker);
    [[nodiscard]] JobResult<ScanReport> outcome();

private:
    struct Worker
    {
        int number = 0;
        std::optional<ClipReader> reader;
        int readerThreads = 0;
        PictureAccess access;
    };

    /// Which frames of a chunk are still to come.
    struct Pending
    {
        FrameRange frames;
        std::vector<bool> done;
        std::int64_t left = 0;
    };

    bool takeChunk(Worker& worker, const ScanChunk& chunk);
    bool pass(Worker& worker, const ScanChunk& chunk, Pending& pending, std::int64_t further);
    bool openReader(Worker& worker, int threads);
    bool deliver(Worker& worker, Pending& pending);
    bool fetchKeptBack(Worker& worker, Pending& pending);
    void noteMissing(const Pending& pending, const std::string& error);
    void stopWith(Error error);

    [[nodiscard]] bool stopped() const { return m_stopped.load(std::memory_order_relaxed); }

    std::shared_ptr<const ClipIndex> m_index;
    std::int64_t m_total;
    const VisitFrame& m_visit;
    const JobControl& m_control;
    std::vector<ScanChunk> m_chunks;
    std::atomic<std::size_t> m_nextChunk {0};
    std::atomic<bool> m_stopped {false};
    std::mutex m_mutex; ///< guards what follows
    std::int64_t m_done = 0;
    ScanReport m_report;
    std::optional<Error> m_error;
};

void Scan::stopWith(Error error)
{
    const std::scoped_lock lock(m_mutex);
    if (!m_error) {
        m_error = std::move(error);
    }
    m_stopped = true;
}

bool Scan::openReader(Worker& worker, int threads)
{
    if (worker.reader && worker.readerThreads == threads) {
        return true;
    }
    worker.reader.reset();
    auto opened = ClipReader::open(m_index, {threads}, m_control.stop);
    if (!opened) {
        stopWith(std::move(opened.error()));
        return false;
    }
    worker.reader.emplace(std::move(*opened));
    worker.readerThreads = threads;
    return true;
}

bool Scan::deliver(Worker& worker, Pending& pending)
{
    const FrameIndex k = worker.reader->number();
    if (!pending.frames.contains(k)) {
        return true;
    }
    const auto at = static_cast<std::size_t>(k.value - pending.frames.first.value);
    if (pending.done[at]) {
        return true;
    }
    const auto view = worker.access.view(worker.reader->picture(), m_index->info.colour);
    if (!view) {
        stopWith(footageError(Cause::UnsupportedCodec, m_index->info.file,
            "has a pixel format that cannot be read here; convert it, for example to H.264.")
                     .value());
        return false;
    }
    m_visit(k, *view, worker.number);
    pending.done[at] = true;
    --pending.left;
    const std::scoped_lock lock(m_mutex);
    ++m_done;
    if (!m_control.tick(m_done, m_total)) {
        m_stopped = true;
    }
    return true;
}

bool Scan::pass(Worker& worker, const ScanChunk& chunk, Pending& pending, std::int64_t further)
{
    ClipReader& reader = *worker.reader;
    if (auto started = reader.startBefore(chunk.frames.first, further); !started) {
        stopWith(std::move(started.error()));
        return false;
    }
    reader.endAfterPacket(chunk.lastPacket);
    const std::int64_t before = reader.picturesOut();
    while (pending.left > 0 && !stopped()) {
        const ClipReader::Step step = reader.next();
        if (step == ClipReader::Step::End) {
            break;
        }
        if (step == ClipReader::Step::SizeChanged) {
            stopWith(footageError(Cause::SizeChanges, m_index->info.file,
                fmt::format("changes its picture size at frame {}; cut it there and measure the "
                            "parts.",
                    reader.number().value))
                         .value());
            return false;
        }
        if (!deliver(worker, pending)) {
            return false;
        }
    }
    if (m_control.stopRequested()) {
        m_stopped = true;
    }
    const std::scoped_lock lock(m_mutex);
    m_report.framesDecoded += reader.picturesOut() - before;
    return !stopped();
}

bool Scan::takeChunk(Worker& worker, const ScanChunk& chunk)
{
    Pending pending {chunk.frames,
        std::vector<bool>(static_cast<std::size_t>(chunk.frames.frameCount())),
        chunk.frames.frameCount()};
    if (!openReader(worker, chunk.decoderThreads) || !pass(worker, chunk, pending, 0)) {
        return false;
    }
    // With several threads damage cannot be laid to one packet, so it is looked at with one. Where
    // there was none, what is missing comes out when decoding starts further back: the last frames
    // of an open GOP one keyframe earlier, those of an intra refresh a few.
    const bool unsure = worker.reader->metDamage() && worker.readerThreads > 1;
    const auto all = static_cast<std::int64_t>(m_index->keyframes.size());
    for (const std::int64_t further : {std::int64_t {0}, std::int64_t {1}, std::int64_t {3}, all}) {
        const bool explained = worker.reader->metDamage() && worker.readerThreads == 1;
        if (pending.left == 0 || explained) {
            break;
        }
        if (further == 0 && !unsure) {
            continue;
        }
        if (!openReader(worker, 1) || !pass(worker, chunk, pending, further)) {
            return false;
        }
    }
    if (pending.left == 0) {
        return true;
    }
    return fetchKeptBack(worker, pending);
}

/// A decoder that fails on a packet may keep back the good picture that was due. Such pictures are
/// asked for one by one, the damage left out; what is missing then is noted.
bool Scan::fetchKeptBack(Worker& worker, Pending& pending)
{
    const std::string error
        = worker.reader->metDamage() ? worker.reader->firstError() : "no picture came out";
    std::vector<FrameIndex> keptBack;
    for (std::size_t i = 0; i < pending.done.size(); ++i) {
        const FrameIndex k {pending.frames.first.value + static_cast<std::int64_t>(i)};
        if (!pending.done[i] && worker.reader->metDamage() && !worker.reader->isSpoiled(k)) {
            keptBack.push_back(k);
        }
    }
    // As many as a decoder can hold; more means that it gave up altogether.
    constexpr std::size_t most = 16;
    for (std::size_t i = 0; i < std::min(most, keptBack.size()); ++i) {
        const FrameIndex k = keptBack[i];
        const ScanChunk alone {
            {k, {k.value + 1}}, m_index->entries[static_cast<std::size_t>(k.value)].decodeOrder, 1};
        if (!pass(worker, alone, pending, 0)) {
            return false;
        }
    }
    noteMissing(pending, error);
    return true;
}

void Scan::noteMissing(const Pending& pending, const std::string& error)
{
    const std::scoped_lock lock(m_mutex);
    if (pending.left > 0 && m_report.firstDecodeError.empty()) {
        m_report.firstDecodeError = error;
    }
    for (std::size_t i = 0; i < pending.done.size(); ++i) {
        if (!pending.done[i]) {
            m_report.missing.push_back({pending.frames.first.value + static_cast<std::int64_t>(i)});
        }
    }
}

void Scan::work(int number)
{
    Worker worker;
    worker.number = number;
    while (!stopped()) {
        const std::size_t next = m_nextChunk.fetch_add(1);
        if (next >= m_chunks.size() || !takeChunk(worker, m_chunks[next])) {
            return;
        }
    }
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

} // namespace

int scanThreads(const ScanOptions& options)
{
    return options.threads > 0 ? options.threads
                               : std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

JobResult<ScanReport> scanFrames(const ClipIndex& index, FrameRange range, const VisitFrame& visit,
    const ScanOptions& options, const JobControl& control)
{
    TL_EXPECTS(range.frameCount() == 0
        || (range.first.value >= 0 && range.last.value <= index.frameCount()));
    const int threads = scanThreads(options);
    std::vector<ScanChunk> chunks = planScan(index, range, threads);
    const int workers = std::min(threads, static_cast<int>(chunks.size()));
    Scan scan(index, range, visit, control, std::move(chunks));
    {
        std::vector<std::jthread> pool;
        for (int number = 1; number < workers; ++number) {
            pool.emplace_back([&scan, number] { scan.work(number); });
        }
        scan.work(0);
    }
    return scan.outcome();
}

} // namespace twinlamp::footage
