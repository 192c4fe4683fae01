// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/chunk_decoder.h"

#include "core/footage/clip_open.h"

#include <algorithm>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::footage {

void ChunkDecoder::stopWith(Error error)
{
    if (!m_error) {
        m_error = std::move(error);
    }
    m_setting.stopped = true;
}

/// Makes the current reader one with so many threads.
bool ChunkDecoder::openReader(int threads)
{
    if (m_current < m_readers.size() && m_readers[m_current].threads == threads) {
        return true;
    }
    auto opened = ClipReader::open(m_setting.index, {threads}, m_setting.stop);
    if (!opened) {
        stopWith(std::move(opened.error()));
        return false;
    }
    Reader reader {std::move(*opened), threads};
    if (m_current < m_readers.size()) {
        m_readers[m_current] = std::move(reader);
    } else {
        m_readers.push_back(std::move(reader));
        m_current = m_readers.size() - 1;
    }
    return true;
}

bool ChunkDecoder::deliver(Pending& pending)
{
    ClipReader& reader = m_readers[m_current].reader;
    const FrameIndex k = reader.number();
    if (!pending.frames.contains(k)) {
        return true;
    }
    const auto at = static_cast<std::size_t>(k.value - pending.frames.first.value);
    if (pending.done[at]) {
        return true;
    }
    const ClipIndex& index = *m_setting.index;
    const auto view = m_access.view(reader.picture(), index.info.colour);
    if (!view) {
        stopWith(footageError(Cause::UnsupportedCodec, index.info.file,
            "has a pixel format that cannot be read here; convert it, for example to H.264.")
                     .value());
        return false;
    }
    m_setting.visit(k, *view, m_setting.worker);
    pending.done[at] = true;
    --pending.left;
    m_setting.visited();
    return true;
}

/// @param endsByItself  the reader was told its last packet; else it ends behind the piece
bool ChunkDecoder::decodeOn(Pending& pending, bool endsByItself)
{
    Reader& current = m_readers[m_current];
    ClipReader& reader = current.reader;
    // Pictures come out in order but for those of coarse stamps.
    constexpr std::int64_t surelyBehind = 32;
    const std::int64_t before = reader.picturesOut();
    while (pending.left > 0 && !isStopped()) {
        const ClipReader::Step step = reader.next();
        if (step == ClipReader::Step::End) {
            break;
        }
        if (step == ClipReader::Step::SizeChanged) {
            stopWith(footageError(Cause::SizeChanges, m_setting.index->info.file,
                fmt::format("changes its picture size at frame {}; cut it there and measure the "
                            "parts.",
                    reader.number().value))
                         .value());
            return false;
        }
        current.next = std::max(current.next, reader.number().value + 1);
        if (!deliver(pending)) {
            return false;
        }
        if (!endsByItself && current.next > pending.frames.last.value + surelyBehind) {
            break;
        }
    }
    if (m_setting.stop.stop_requested()) {
        m_setting.stopped = true;
    }
    m_report.framesDecoded += reader.picturesOut() - before;
    return !isStopped();
}

bool ChunkDecoder::pass(const ScanChunk& chunk, Pending& pending, std::int64_t further)
{
    Reader& current = m_readers[m_current];
    current.goesOn = false;
    current.next = 0;
    if (auto started = current.reader.startBefore(chunk.frames.first, further); !started) {
        stopWith(std::move(started.error()));
        return false;
    }
    current.reader.endAfterPacket(chunk.lastPacket);
    return decodeOn(pending, true);
}

/// Goes on with a reader that stopped in this piece's GOP, or starts one that may be gone on with.
/// @param isPass  set where that was the same as pass() for this piece
bool ChunkDecoder::takeKept(const ScanChunk& chunk, Pending& pending, bool& isPass)
{
    const auto& keyframes = m_setting.index->keyframes;
    const std::int64_t first = chunk.frames.first.value;
    const auto leadsThere = [&](const Reader& reader) {
        const auto key = std::ranges::upper_bound(keyframes, FrameIndex {reader.next});
        return reader.goesOn && reader.next <= first
            && (key == keyframes.end() || key->value > first);
    };
    auto found = std::ranges::find_if(m_readers, leadsThere);
    isPass = found == m_readers.end() && !chunk.goesOn;
    if (found == m_readers.end()) {
        m_current = m_readers.size();
        if (m_readers.size() >= m_setting.kept) {
            m_current = static_cast<std::size_t>(
                std::ranges::min_element(m_readers, {}, &Reader::usedAt) - m_readers.begin());
        }
        if (!openReader(1)) {
            return false;
        }
        Reader& current = m_readers[m_current];
        auto started = current.reader.startBefore(chunk.frames.first);
        if (!started) {
            stopWith(std::move(started.error()));
            return false;
        }
        current.next = started->value;
        current.goesOn = true;
    } else {
        m_current = static_cast<std::size_t>(found - m_readers.begin());
    }
    Reader& current = m_readers[m_current];
    current.usedAt = ++m_uses;
    if (!chunk.goesOn) {
        current.reader.endAfterPacket(chunk.lastPacket);
    }
    const bool done = decodeOn(pending, !chunk.goesOn);
    // What damage costs is known of a decoder that was started for the piece.
    current.goesOn = chunk.goesOn && !current.reader.metDamage();
    return done;
}

bool ChunkDecoder::take(const ScanChunk& chunk)
{
    Pending pending {chunk.frames,
        std::vector<bool>(static_cast<std::size_t>(chunk.frames.frameCount())),
        chunk.frames.frameCount()};
    bool wasPass = false;
    if (m_setting.kept > 0 && chunk.decoderThreads == 1) {
        if (!takeKept(chunk, pending, wasPass)) {
            return false;
        }
        if (pending.left == 0) {
            return true;
        }
    }
    if (!wasPass && (!openReader(chunk.decoderThreads) || !pass(chunk, pending, 0))) {
        return false;
    }
    // With several threads damage cannot be laid to one packet, so it is looked at with one. Where
    // there was none, what is missing comes out when decoding starts further back: the last frames
    // of an open GOP one keyframe earlier, those of an intra refresh a few.
    const auto metDamage = [this] { return m_readers[m_current].reader.metDamage(); };
    const bool unsure = metDamage() && m_readers[m_current].threads > 1;
    const auto all = static_cast<std::int64_t>(m_setting.index->keyframes.size());
    for (const std::int64_t further : {std::int64_t {0}, std::int64_t {1}, std::int64_t {3}, all}) {
        const bool explained = metDamage() && m_readers[m_current].threads == 1;
        if (pending.left == 0 || explained) {
            break;
        }
        if (further == 0 && !unsure) {
            continue;
        }
        if (!openReader(1) || !pass(chunk, pending, further)) {
            return false;
        }
    }
    if (pending.left == 0) {
        return true;
    }
    return fetchKeptBack(pending);
}

/// A decoder that fails on a packet may keep back the good picture that was due. Such pictures are
/// asked for one by one, the damage left out; what is missing then is noted.
bool ChunkDecoder::fetchKeptBack(Pending& pending)
{
    const ClipReader& reader = m_readers[m_current].reader;
    const std::string error = reader.metDamage() ? reader.firstError() : "no picture came out";
    std::vector<FrameIndex> keptBack;
    for (std::size_t i = 0; i < pending.done.size(); ++i) {
        const FrameIndex k {pending.frames.first.value + static_cast<std::int64_t>(i)};
        if (!pending.done[i] && reader.metDamage() && !reader.isSpoiled(k)) {
            keptBack.push_back(k);
        }
    }
    // As many as a decoder can hold; more means that it gave up altogether.
    constexpr std::size_t most = 16;
    for (std::size_t i = 0; i < std::min(most, keptBack.size()); ++i) {
        const FrameIndex k = keptBack[i];
        const ScanChunk alone {{k, {k.value + 1}},
            m_setting.index->entries[static_cast<std::size_t>(k.value)].decodeOrder, 1};
        if (!pass(alone, pending, 0)) {
            return false;
        }
    }
    noteMissing(pending, error);
    return true;
}

void ChunkDecoder::noteMissing(const Pending& pending, const std::string& error)
{
    if (pending.left > 0 && m_report.firstDecodeError.empty()) {
        m_report.firstDecodeError = error;
    }
    for (std::size_t i = 0; i < pending.done.size(); ++i) {
        if (!pending.done[i]) {
            m_report.missing.push_back({pending.frames.first.value + static_cast<std::int64_t>(i)});
        }
    }
}

} // namespace twinlamp::footage
