// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/clip_reader.h"

#include <algorithm>
#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

namespace twinlamp::footage {

Result<ClipReader> ClipReader::open(
    std::shared_ptr<const ClipIndex> index, Options options, const std::stop_token& stop)
{
    ClipReader reader;
    reader.m_lookup = FrameLookup(*index);
    reader.m_index = std::move(index);
    reader.m_options = options;
    reader.m_stop = stop;
    reader.m_packet.reset(av_packet_alloc());
    reader.m_frame.reset(av_frame_alloc());
    if (auto opened = reader.openAnew(); !opened) {
        return tl::unexpected(std::move(opened.error()));
    }
    return reader;
}

Result<void> ClipReader::openAnew()
{
    const std::filesystem::path clip = m_index->info.file;
    auto opened = openClip(clip, Probe::Quick, m_stop);
    if (!opened) {
        return tl::unexpected(std::move(opened.error()));
    }
    m_decoder.reset();
    m_open = std::move(*opened);
    auto decoder = makeDecoder(m_open, clip, {m_options.decoderThreads, m_lookup.reorderFrames()});
    if (!decoder) {
        return tl::unexpected(std::move(decoder.error()));
    }
    m_decoder = std::move(*decoder);
    m_marksDamage = marksDamage(m_decoder->codec_id);
    forgetDecoding();
    if (readPacket()) {
        m_firstPosition = m_packet->pos;
        m_firstPts = m_packet->pts;
    }
    m_atStart = true;
    return {};
}

void ClipReader::forgetDecoding()
{
    m_lastPacket = std::numeric_limits<std::int32_t>::max();
    m_packetWaits = false;
    m_atStart = false;
    m_draining = false;
    m_drained = false;
    m_firstError.clear();
    m_damaged = false;
    m_firstGood = 0;
    m_gop = 0;
    m_gopKeyframe = 0;
    m_sent.clear();
    m_spoiled.clear();
    m_inFlight.clear();
    m_held.clear();
}

Result<void> ClipReader::restart()
{
    if (m_atStart) {
        return {};
    }
    avcodec_flush_buffers(m_decoder.get());
    forgetDecoding();
    const bool byBytes = seeksByBytes(*m_open.format);
    const std::int64_t target = byBytes ? 0 : m_index->entries.front().ptsTicks;
    const int flags = byBytes ? AVSEEK_FLAG_BYTE : AVSEEK_FLAG_BACKWARD;
    const bool isFirst
        = av_seek_frame(m_open.format.get(), m_open.stream->index, target, flags) >= 0
        && readPacket() && m_packet->pos == m_firstPosition && m_packet->pts == m_firstPts;
    if (isFirst) {
        m_atStart = true;
        return {};
    }
    return openAnew();
}

Result<FrameIndex> ClipReader::startBefore(FrameIndex k, std::int64_t further)
{
    const auto& keyframes = m_index->keyframes;
    auto at = std::ranges::upper_bound(keyframes, k) - keyframes.begin() - 1 - further;
    for (std::int64_t step = 1; at > 0; at -= step, step *= 2) {
        if (seekTo(keyframes[static_cast<std::size_t>(at)])) {
            return FrameIndex {m_firstGood};
        }
        spdlog::debug("{}: a seek to frame {} landed wrong; going further back",
            nameOf(m_index->info.file), keyframes[static_cast<std::size_t>(at)].value);
    }
    if (auto started = restart(); !started) {
        return tl::unexpected(std::move(started.error()));
    }
    return FrameIndex {0};
}

bool ClipReader::seekTo(FrameIndex keyframe)
{
    const FrameEntry& entry = m_index->entries[static_cast<std::size_t>(keyframe.value)];
    const bool byBytes = seeksByBytes(*m_open.format);
    if (byBytes && entry.positionBytes < 0) {
        return false;
    }
    avcodec_flush_buffers(m_decoder.get());
    forgetDecoding();
    const std::int64_t target = byBytes ? entry.positionBytes : entry.ptsTicks;
    const int flags = byBytes ? AVSEEK_FLAG_BYTE : AVSEEK_FLAG_BACKWARD;
    if (av_seek_frame(m_open.format.get(), m_open.stream->index, target, flags) < 0) {
        return false;
    }
    while (readPacket()) {
        if (m_packetFrame > keyframe.value) {
            return false;
        }
        // Frame 0 may be listed for a hidden keyframe before it; its own packet is none then.
        const bool isKey = (m_packet->flags & AV_PKT_FLAG_KEY) != 0;
        if (isKey && std::ranges::binary_search(m_index->keyframes, FrameIndex {m_packetFrame})) {
            m_firstGood = m_packetFrame;
            m_damaged = true; // whatever precedes this keyframe is not there
            return true;
        }
        m_packetWaits = false;
    }
    return false;
}

bool ClipReader::readPacket()
{
    constexpr int patience = 16; // a demuxer may find the next packet behind a damaged spot
    for (int failures = 0; failures < patience;) {
        av_packet_unref(m_packet.get());
        const int read = av_read_frame(m_open.format.get(), m_packet.get());
        if (read == AVERROR_EOF || m_stop.stop_requested()) {
            return false;
        }
        if (read < 0) {
            ++failures;
            continue;
        }
        if (m_packet->stream_index == m_open.stream->index && m_packet->size > 0) {
            const bool hidden = (m_packet->flags & AV_PKT_FLAG_DISCARD) != 0;
            const auto found
                = hidden ? std::nullopt : m_lookup.find(*m_index, m_packet->pts, m_packet->pos);
            m_packetFrame = found ? found->value : hiddenFrame;
            m_packetWaits = true;
            return true;
        }
    }
    return false;
}

bool ClipReader::waitsForSending()
{
    if (!m_packetWaits && !readPacket()) {
        return false;
    }
    return m_packetFrame == hiddenFrame
        || m_index->entries[static_cast<std::size_t>(m_packetFrame)].decodeOrder <= m_lastPacket;
}

void ClipReader::sendPacket()
{
    m_packetWaits = false;
    m_atStart = false;
    const std::int64_t k = m_packetFrame;
    if ((m_packet->flags & AV_PKT_FLAG_KEY) != 0) {
        beginGop(k);
    } else if (m_damaged) {
        m_spoiled.insert(k);
    }
    if (k < m_firstGood) {
        m_spoiled.insert(k);
    }
    m_sent.push_back({k, m_gop});
    if (k != hiddenFrame && m_marksDamage && !isSpoiled({k})) {
        m_inFlight.push_back(k);
    }
    // The decoder carries the stamp of a packet to its picture: let it carry the frame's number.
    m_packet->pts = k;
    const bool corrupt = (m_packet->flags & AV_PKT_FLAG_CORRUPT) != 0;
    const int sent = avcodec_send_packet(m_decoder.get(), m_packet.get());
    if (sent < 0 || corrupt) {
        noteFailure(sent < 0 ? avErrorText(sent) : "its data has a gap");
    }
}

void ClipReader::beginGop(std::int64_t keyframe)
{
    const bool known = keyframe != hiddenFrame;
    ++m_gop;
    m_gopKeyframe = keyframe;
    m_firstGood = m_damaged && known ? keyframe : 0;
    m_damaged = m_damaged && !known;
    // Pictures still in the decoder are of the GOP before at most.
    std::erase_if(m_sent, [this](const Sent& sent) { return sent.gop + 1 < m_gop; });
}

void ClipReader::noteDamage(std::int64_t k, const std::string& what)
{
    if (m_firstError.empty()) {
        m_firstError = fmt::format("frame {}: {}", k, what);
    }
}

/// A packet failed in the decoder, at once or, with frame threads, one of the last few.
void ClipReader::noteFailure(const std::string& what)
{
    if (m_sent.empty()) {
        return;
    }
    const std::int64_t k = m_sent.back().frame;
    noteDamage(k, what);
    const bool alone = m_options.decoderThreads == 1;
    if (alone && (m_packet->flags & AV_PKT_FLAG_DISPOSABLE) != 0) {
        m_spoiled.insert(k); // nothing depends on it
    } else {
        const auto suspects
            = std::min(static_cast<std::size_t>(m_options.decoderThreads), m_sent.size());
        spoilFrom(m_sent.size() - suspects);
    }
    if (alone) {
        std::erase(m_inFlight, k);
    }
}

/// Spoils a sent frame and all that may depend on it: what followed in its GOP, and what leads the
/// keyframe of the next one.
void ClipReader::spoilFrom(std::size_t at)
{
    const std::int64_t gop = m_sent[at].gop;
    for (; at < m_sent.size(); ++at) {
        if (m_sent[at].gop == gop || m_sent[at].frame < m_gopKeyframe) {
            m_spoiled.insert(m_sent[at].frame);
        }
    }
    if (gop == m_gop) {
        m_damaged = true;
    } else {
        m_firstGood = std::max(m_firstGood, m_gopKeyframe);
    }
}

void ClipReader::cameOut(std::int64_t k)
{
    std::erase(m_inFlight, k);
    // A packet that never gives a picture must not hold back the others for ever.
    const auto most
        = static_cast<std::size_t>(m_lookup.reorderFrames() + m_options.decoderThreads + 2);
    while (m_inFlight.size() > most) {
        m_inFlight.pop_front();
    }
}

/// Takes in a picture from the decoder; true where it may go on to the user, sooner or later.
bool ClipReader::receive()
{
    ++m_picturesOut;
    const std::int64_t k = m_frame->pts;
    if (k < 0) { // hidden, or not of this clip's index
        return false;
    }
    cameOut(k);
    if (isSpoiled({k})) {
        return false;
    }
    if (isDamaged(*m_frame)) {
        noteDamage(k, "the picture is damaged");
        m_spoiled.insert(k);
        if (const auto at = std::ranges::find(m_sent, k, &Sent::frame); at != m_sent.end()) {
            spoilFrom(static_cast<std::size_t>(at - m_sent.begin()));
        }
    }
    return !isSpoiled({k});
}

/// Moves the next picture that nothing can spoil any more to m_frame.
bool ClipReader::release()
{
    while (!m_held.empty()) {
        const std::int64_t k = m_held.front()->pts;
        const std::int32_t order = m_index->entries[static_cast<std::size_t>(k)].decodeOrder;
        const bool waitsForEarlier
            = !m_drained && std::ranges::any_of(m_inFlight, [&](std::int64_t sent) {
                  return m_index->entries[static_cast<std::size_t>(sent)].decodeOrder < order;
              });
        if (waitsForEarlier) {
            return false;
        }
        m_frame = std::move(m_held.front());
        m_held.pop_front();
        if (!isSpoiled({k})) {
            m_number = {k};
            return true;
        }
    }
    return false;
}

/// Takes a picture from the decoder or hands it a packet; the decoder's answer, 0 where it went on.
int ClipReader::exchange()
{
    if (!m_frame) {
        m_frame.reset(av_frame_alloc());
    }
    const int received = avcodec_receive_frame(m_decoder.get(), m_frame.get());
    if (received == 0) {
        if (receive()) {
            m_held.push_back(std::move(m_frame));
        }
        return 0;
    }
    if (received != AVERROR(EAGAIN) || m_draining) {
        return received;
    }
    if (waitsForSending()) {
        sendPacket();
    } else {
        m_draining = true;
        avcodec_send_packet(m_decoder.get(), nullptr);
    }
    return 0;
}

ClipReader::Step ClipReader::next()
{
    constexpr int patience = 64; // failures in a row that a decoder may report for one packet
    for (int failures = 0; failures < patience && !m_stop.stop_requested();) {
        if (release()) {
            const Orientation& stored = m_index->info.orientation;
            const bool sameSize = m_frame->width == stored.storedWidthPx
                && m_frame->height == stored.storedHeightPx;
            return sameSize ? Step::Picture : Step::SizeChanged;
        }
        if (m_drained) {
            return Step::End;
        }
        const int answer = exchange();
        if (answer == 0) {
            failures = 0;
        } else if (answer == AVERROR_EOF || answer == AVERROR(EAGAIN)) {
            m_drained = true;
        } else {
            ++failures;
            noteFailure(avErrorText(answer));
        }
    }
    return Step::End;
}

} // namespace twinlamp::footage
