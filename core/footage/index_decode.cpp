// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/index_build.h"

#include <algorithm>
#include <numeric>
#include <thread>

namespace twinlamp::footage {

namespace {

/// Decodes every packet and notes which packets become pictures, in the order they are shown.
class OrderOfPictures
{
public:
    OrderOfPictures(OpenClip open, CodecHandle decoder, std::size_t packets)
        : m_open(std::move(open))
        , m_decoder(std::move(decoder))
        , m_failed(packets)
    {
    }

    /// False where the job was stopped.
    bool run(const JobControl& control);

    /// Ranks of packets, those that failed put where they belong.
    [[nodiscard]] std::vector<std::size_t> shown() const;

private:
    void drain();

    OpenClip m_open;
    CodecHandle m_decoder;
    PacketHandle m_packet {av_packet_alloc()};
    FrameHandle m_frame {av_frame_alloc()};
    std::vector<std::size_t> m_shown;
    std::vector<bool> m_failed;
};

void OrderOfPictures::drain()
{
    while (avcodec_receive_frame(m_decoder.get(), m_frame.get()) == 0) {
        if (m_frame->pts >= 0) {
            m_shown.push_back(static_cast<std::size_t>(m_frame->pts));
        }
    }
}

bool OrderOfPictures::run(const JobControl& control)
{
    const std::int64_t total = m_open.format->pb != nullptr ? avio_size(m_open.format->pb) : 0;
    std::size_t rank = 0;
    while (rank < m_failed.size() && av_read_frame(m_open.format.get(), m_packet.get()) >= 0) {
        if (m_packet->stream_index == m_open.stream->index && m_packet->size > 0) {
            const std::int64_t position = m_packet->pos;
            m_packet->pts = static_cast<std::int64_t>(rank);
            const bool sent = avcodec_send_packet(m_decoder.get(), m_packet.get()) >= 0;
            m_failed[rank] = !sent && (m_packet->flags & AV_PKT_FLAG_DISCARD) == 0;
            ++rank;
            drain();
            if (!control.tick(position, total)) {
                return false;
            }
        }
        av_packet_unref(m_packet.get());
    }
    avcodec_send_packet(m_decoder.get(), nullptr);
    drain();
    return !control.stopRequested();
}

std::vector<std::size_t> OrderOfPictures::shown() const
{
    // A frame that cannot be decoded still takes its time: it goes before the first picture that
    // was decoded after it. Only frames that depend on it may stand in another order than meant.
    std::vector<std::size_t> order = m_shown;
    for (std::size_t rank = 0; rank < m_failed.size(); ++rank) {
        if (m_failed[rank] && std::ranges::find(m_shown, rank) == m_shown.end()) {
            order.insert(
                std::ranges::find_if(order, [rank](std::size_t r) { return r > rank; }), rank);
        }
    }
    return order;
}

/// Stamps for frames in the order they are shown: the packets' own where all have one, else the
/// decode stamps in rising order, else counted.
std::vector<std::int64_t> stampsFor(
    const PacketTable& table, const std::vector<std::size_t>& order, std::int64_t stepTicks)
{
    std::vector<std::int64_t> stamps(order.size());
    const auto all = [&](std::int64_t PacketRecord::*stamp) {
        return std::ranges::all_of(
            order, [&](std::size_t r) { return table.packets[r].*stamp != AV_NOPTS_VALUE; });
    };
    const auto copy = [&](std::int64_t PacketRecord::*stamp) {
        std::ranges::transform(
            order, stamps.begin(), [&](std::size_t r) { return table.packets[r].*stamp; });
    };
    if (all(&PacketRecord::pts)) {
        copy(&PacketRecord::pts);
        if (std::ranges::is_sorted(stamps)) {
            return stamps;
        }
    }
    if (all(&PacketRecord::dts)) {
        copy(&PacketRecord::dts);
        std::ranges::sort(stamps);
        return stamps;
    }
    for (std::size_t k = 0; k < stamps.size(); ++k) {
        stamps[k] = static_cast<std::int64_t>(k) * stepTicks;
    }
    return stamps;
}

std::int64_t frameTicks(const AVStream& stream)
{
    const AVRational rate = stream.avg_frame_rate;
    return rate.num > 0 && rate.den > 0
        ? std::max<std::int64_t>(1, av_rescale_q(1, av_inv_q(rate), stream.time_base))
        : 1;
}

} // namespace

JobResult<ClipIndex> indexByDecoding(OpenClip open, const PacketTable& table, ClipInfo info,
    const std::filesystem::path& clip, const JobControl& control)
{
    const int threads = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
    auto decoder = makeDecoder(open, clip, {threads, 0, DamagePolicy::Show});
    if (!decoder) {
        return std::move(decoder.error());
    }
    const std::int64_t stepTicks = frameTicks(*open.stream);
    OrderOfPictures pictures(std::move(open), std::move(*decoder),
        table.packets.size() - static_cast<std::size_t>(table.cutOff));
    if (!pictures.run(control)) {
        return Cancelled {};
    }
    const std::vector<std::size_t> order = pictures.shown();
    const std::vector<std::int64_t> stamps = stampsFor(table, order, stepTicks);
    ClipIndex index;
    index.info = std::move(info);
    index.entries.reserve(order.size());
    for (std::size_t k = 0; k < order.size(); ++k) {
        const PacketRecord& packet = table.packets[order[k]];
        index.entries.push_back({stamps[k], packet.positionBytes,
            static_cast<std::int32_t>(order[k]), packet.keyframe});
    }
    index.matchByPosition = true;
    fillKeyframes(index, false);
    return index;
}

} // namespace twinlamp::footage
