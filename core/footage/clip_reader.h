// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/decoder.h"
#include "core/footage/frame_index.h"
#include "core/footage/frame_lookup.h"

#include <deque>
#include <limits>
#include <memory>
#include <stop_token>
#include <string>
#include <unordered_set>
#include <vector>

namespace twinlamp::footage {

/// One demuxer and one decoder on an indexed clip. Every packet is looked up in the index before it
/// is decoded, so a picture that comes out is known to be frame k, not assumed to be.
class ClipReader
{
public:
    struct Options
    {
        int decoderThreads = 1;
    };

    enum class Step
    {
        Picture, ///< picture() is frame number()
        End, ///< nothing more to decode
        SizeChanged ///< a picture of another size came out
    };

    /// @error as indexClip
    [[nodiscard]] static Result<ClipReader> open(
        std::shared_ptr<const ClipIndex> index, Options options, const std::stop_token& stop);

    /// Goes to where decoding yields frame `k` and those after it, `further` keyframes earlier than
    /// the nearest. Returns the first frame that will come out right.
    /// @error as indexClip, where the clip had to be opened anew
    [[nodiscard]] Result<FrameIndex> startBefore(FrameIndex k, std::int64_t further = 0);
    /// Opens the file anew and starts at its first packet: needs no seeking, so it cannot land
    /// wrong.
    [[nodiscard]] Result<void> restart();

    /// Ends decoding once the packet of this rank in the stream is decoded (until the next start).
    void endAfterPacket(std::int32_t decodeOrder) { m_lastPacket = decodeOrder; }

    /// Decodes up to the next good picture. Pictures that are damaged, or that depend on damage,
    /// are left out.
    [[nodiscard]] Step next();

    [[nodiscard]] FrameIndex number() const { return m_number; }

    [[nodiscard]] const AVFrame& picture() const { return *m_frame; }

    /// Pictures that came out of the decoder, left-out ones included.
    [[nodiscard]] std::int64_t picturesOut() const { return m_picturesOut; }

    /// Damage was met since decoding was last started anew.
    [[nodiscard]] bool metDamage() const { return !m_firstError.empty(); }

    /// Frame k was given to the decoder since then and is damaged, or depends on what is.
    [[nodiscard]] bool isSpoiled(FrameIndex k) const { return m_spoiled.contains(k.value); }

    [[nodiscard]] const std::string& firstError() const { return m_firstError; }

    [[nodiscard]] const ClipIndex& index() const { return *m_index; }

private:
    ClipReader() = default;
    [[nodiscard]] Result<void> openAnew();
    [[nodiscard]] bool seekTo(FrameIndex keyframe);
    [[nodiscard]] bool readPacket();
    [[nodiscard]] bool waitsForSending();
    void sendPacket();
    void beginGop(std::int64_t keyframe);
    void noteDamage(std::int64_t k, const std::string& what);
    void noteFailure(const std::string& what);
    void spoilFrom(std::size_t at);
    void forgetDecoding();
    [[nodiscard]] bool receive();
    [[nodiscard]] int exchange();
    [[nodiscard]] bool release();
    void cameOut(std::int64_t k);

    struct Sent
    {
        std::int64_t frame = 0;
        std::int64_t gop = 0;
    };

    static constexpr std::int64_t hiddenFrame = -1;

    std::shared_ptr<const ClipIndex> m_index;
    FrameLookup m_lookup;
    Options m_options;
    std::stop_token m_stop;
    OpenClip m_open;
    CodecHandle m_decoder;
    PacketHandle m_packet;
    FrameHandle m_frame;
    FrameIndex m_number;
    std::int32_t m_lastPacket = std::numeric_limits<std::int32_t>::max();
    std::int64_t m_firstPosition = -1; ///< of the clip's first packet
    std::int64_t m_firstPts = AV_NOPTS_VALUE;
    bool m_packetWaits = false; ///< m_packet is read but not sent
    std::int64_t m_packetFrame = hiddenFrame; ///< the frame that m_packet holds
    bool m_atStart = false; ///< no packet was sent since the file was opened
    bool m_draining = false; ///< the decoder was told that nothing follows
    bool m_drained = false; ///< and it has given everything
    bool m_damaged = false; ///< since the last keyframe in decode order
    std::int64_t m_firstGood = 0; ///< frames of this GOP shown before it depend on damage
    std::int64_t m_gop = 0; ///< counts keyframes sent
    std::int64_t m_gopKeyframe = 0; ///< the newest keyframe
    std::vector<Sent> m_sent; ///< of this GOP and the one before
    std::unordered_set<std::int64_t> m_spoiled; ///< damaged, or depending on what is
    bool m_marksDamage = false; ///< the decoder marks damaged pictures; others fail at once
    /// Frames in a decoder that marks damage, in the order they were sent.
    std::deque<std::int64_t> m_inFlight;
    /// Pictures that came out before one that was sent earlier: only that one tells whether they
    /// rest on damage. In order of presentation.
    std::deque<FrameHandle> m_held;
    std::int64_t m_picturesOut = 0;
    std::string m_firstError;
};

} // namespace twinlamp::footage
