// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/index_build.h"

#include <algorithm>
#include <limits>
#include <string_view>

namespace twinlamp::footage {

namespace {

bool keyBeforeFirstShown(const PacketTable& table, const ClipIndex& index)
{
    if (index.entries.empty()) {
        return false;
    }
    const auto first = table.packets.begin();
    const auto last = first + index.entries.front().decodeOrder;
    return std::any_of(first, last, [](const PacketRecord& packet) { return packet.keyframe; });
}

bool hasTwinStamps(const std::vector<FrameEntry>& entries)
{
    return std::ranges::adjacent_find(entries, std::ranges::equal_to {}, &FrameEntry::ptsTicks)
        != entries.end();
}

/// Ticks too coarse for the frames, such as milliseconds at 2000 frames a second.
bool hasTwinStamps(const PacketTable& table)
{
    std::vector<std::int64_t> stamps;
    for (const PacketRecord& packet : table.packets) {
        if (!packet.hidden) {
            stamps.push_back(packet.pts);
        }
    }
    std::ranges::sort(stamps);
    return std::ranges::adjacent_find(stamps) != stamps.end();
}

} // namespace

bool needsDecoding(const OpenClip& open, const PacketTable& table)
{
    const AVCodecParameters& parameters = *open.stream->codecpar;
    const AVCodecDescriptor* codec = avcodec_descriptor_get(parameters.codec_id);
    const bool reorders = codec == nullptr || (codec->props & AV_CODEC_PROP_REORDER) != 0;
    const bool isAvi = std::string_view(open.format->iformat->name) == "avi";
    // AVI has no presentation stamps: with reordering, what it gives are those of decoding.
    if (isAvi && reorders) {
        return true;
    }
    // Which of two frames with one stamp is shown first, the decoder alone knows.
    if (reorders && hasTwinStamps(table)) {
        return true;
    }
    // Two fields may come as two packets of one picture.
    const bool mayPairFields = reorders && parameters.field_order > AV_FIELD_PROGRESSIVE;
    return mayPairFields || std::ranges::any_of(table.packets, [](const PacketRecord& packet) {
        return packet.pts == AV_NOPTS_VALUE && !packet.hidden;
    });
}

ClipIndex indexFromPackets(const PacketTable& table, ClipInfo info)
{
    ClipIndex index;
    index.info = std::move(info);
    index.entries.reserve(table.packets.size());
    const std::size_t whole = table.packets.size() - static_cast<std::size_t>(table.cutOff);
    for (std::size_t i = 0; i < whole; ++i) {
        const PacketRecord& packet = table.packets[i];
        if (!packet.hidden) {
            index.entries.push_back(
                {packet.pts, packet.positionBytes, static_cast<std::int32_t>(i), packet.keyframe});
        }
    }
    std::ranges::stable_sort(index.entries, {}, &FrameEntry::ptsTicks);
    index.matchByPosition = table.restamped || hasTwinStamps(index.entries);
    fillKeyframes(index, keyBeforeFirstShown(table, index));
    return index;
}

void fillKeyframes(ClipIndex& index, bool hiddenStart)
{
    // A frame shown later but decoded earlier than a keyframe cannot be had from there.
    index.keyframes.clear();
    std::int32_t earliestLater = std::numeric_limits<std::int32_t>::max();
    for (std::int64_t k = index.frameCount() - 1; k >= 0; --k) {
        const FrameEntry& entry = index.entries[static_cast<std::size_t>(k)];
        if (entry.keyframe && entry.decodeOrder < earliestLater) {
            index.keyframes.push_back({k});
        }
        earliestLater = std::min(earliestLater, entry.decodeOrder);
    }
    std::ranges::reverse(index.keyframes);
    const bool startsAtKey = !index.keyframes.empty() && index.keyframes.front().value == 0;
    if (hiddenStart && !startsAtKey) {
        index.keyframes.insert(index.keyframes.begin(), FrameIndex {0});
    }
}

} // namespace twinlamp::footage
