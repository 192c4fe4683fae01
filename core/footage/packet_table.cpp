// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/packet_table.h"

#include <algorithm>
#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>
#include <string_view>
#include <utility>

namespace twinlamp::footage {

namespace {

/// Reads picture sizes from the headers of keyframe packets, where libavcodec has a parser for it.
class SizeWatch
{
public:
    explicit SizeWatch(const OpenClip& open)
        : m_parser(av_parser_init(open.stream->codecpar->codec_id))
        , m_context(avcodec_alloc_context3(open.decoder))
        , m_widthPx(open.stream->codecpar->width)
        , m_heightPx(open.stream->codecpar->height)
    {
        if (m_parser && m_context) {
            m_parser->flags |= PARSER_FLAG_COMPLETE_FRAMES;
            avcodec_parameters_to_context(m_context.get(), open.stream->codecpar);
        }
    }

    /// False where the packet holds a picture of another size.
    bool accepts(const AVPacket& packet)
    {
        if (!m_parser || !m_context) {
            return true;
        }
        std::uint8_t* data = nullptr;
        int size = 0;
        av_parser_parse2(m_parser.get(), m_context.get(), &data, &size, packet.data, packet.size,
            packet.pts, packet.dts, packet.pos);
        if (m_parser->width <= 0 || m_parser->height <= 0) {
            return true;
        }
        m_foundWidthPx = m_parser->width;
        m_foundHeightPx = m_parser->height;
        return m_foundWidthPx == m_widthPx && m_foundHeightPx == m_heightPx;
    }

    [[nodiscard]] std::string found() const
    {
        return fmt::format("from {} x {} to {} x {} pixels", m_widthPx, m_heightPx, m_foundWidthPx,
            m_foundHeightPx);
    }

private:
    ParserHandle m_parser;
    CodecHandle m_context;
    int m_widthPx;
    int m_heightPx;
    int m_foundWidthPx = 0;
    int m_foundHeightPx = 0;
};

/// AVI has no time stamps: the demuxer counts the chunks that it meets, so that damage which hides
/// a chunk would move all later frames. The file's own list of chunks tells their true rank.
class ChunkList
{
public:
    explicit ChunkList(const OpenClip& open)
    {
        if (std::string_view(open.format->iformat->name) != "avi") {
            return;
        }
        const int count = avformat_index_get_entries_count(open.stream);
        for (int i = 0; i < count; ++i) {
            const AVIndexEntry* entry = avformat_index_get_entry(open.stream, i);
            constexpr std::int64_t chunkHeaderBytes = 8;
            m_ranks.emplace_back(entry->pos + chunkHeaderBytes, entry->timestamp);
        }
        std::ranges::sort(m_ranks);
    }

    /// Moves the stamps to where the list has the packet; true where they were wrong.
    bool restamp(PacketRecord& packet)
    {
        using Rank = std::pair<std::int64_t, std::int64_t>;
        const auto row = std::ranges::lower_bound(m_ranks, packet.positionBytes, {}, &Rank::first);
        const bool listed = row != m_ranks.end() && row->first == packet.positionBytes;
        if (listed && packet.dts != AV_NOPTS_VALUE) {
            m_hidden = std::max(m_hidden, row->second - packet.dts);
        }
        if (m_hidden == 0) {
            return false;
        }
        for (std::int64_t PacketRecord::*stamp : {&PacketRecord::pts, &PacketRecord::dts}) {
            packet.*stamp += packet.*stamp == AV_NOPTS_VALUE ? 0 : m_hidden;
        }
        return true;
    }

private:
    std::vector<std::pair<std::int64_t, std::int64_t>> m_ranks; ///< position, rank
    std::int64_t m_hidden = 0; ///< chunks that the demuxer did not meet so far
};

PacketRecord recordOf(const AVPacket& packet)
{
    return {packet.pts, packet.dts, packet.pos, (packet.flags & AV_PKT_FLAG_KEY) != 0,
        (packet.flags & AV_PKT_FLAG_DISCARD) != 0};
}

} // namespace

JobResult<PacketTable> readPackets(
    OpenClip& open, const std::filesystem::path& clip, const JobControl& control)
{
    PacketTable table;
    SizeWatch size(open);
    ChunkList chunks(open);
    const PacketHandle packet(av_packet_alloc());
    const std::int64_t total = open.format->pb != nullptr ? avio_size(open.format->pb) : 0;
    // A demuxer may fail on one damaged spot and find the next packet behind it.
    constexpr int patience = 16;
    int failures = 0;
    while (failures < patience) {
        const int read = av_read_frame(open.format.get(), packet.get());
        if (read == AVERROR_EOF) {
            break;
        }
        if (control.stopRequested()) {
            return Cancelled {};
        }
        if (read < 0) {
            ++failures;
            table.readStopped = true;
            spdlog::info("{}: read failed: {}", nameOf(clip), avErrorText(read));
            continue;
        }
        failures = 0;
        if (packet->stream_index == open.stream->index && packet->size > 0) {
            const bool partial = (packet->flags & AV_PKT_FLAG_CORRUPT) != 0;
            table.cutOff = partial ? table.cutOff + 1 : 0;
            table.packets.push_back(recordOf(*packet));
            table.restamped = chunks.restamp(table.packets.back()) || table.restamped;
            if (table.packets.back().keyframe && !partial && !size.accepts(*packet)) {
                return footageError(Cause::SizeChanges, clip,
                    fmt::format("changes its picture size at frame {} {}; cut it there and measure "
                                "the parts.",
                        table.packets.size() - 1, size.found()));
            }
            if (!control.tick(packet->pos, total)) {
                return Cancelled {};
            }
        }
        av_packet_unref(packet.get());
    }
    return table;
}

} // namespace twinlamp::footage
