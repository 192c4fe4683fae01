// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_lookup.h"

#include <algorithm>

namespace twinlamp::footage {

namespace {

/// Largest number of frames decoded before frame k and shown after it.
int reorderDepth(const ClipIndex& index)
{
    if (index.entries.empty()) {
        return 0;
    }
    const auto earliest = std::ranges::min(index.entries, {}, &FrameEntry::decodeOrder);
    std::int64_t deepest = 0;
    std::int64_t latestDecoded = 0;
    for (std::int64_t k = 0; k < index.frameCount(); ++k) {
        const std::int64_t order
            = index.entries[static_cast<std::size_t>(k)].decodeOrder - earliest.decodeOrder;
        latestDecoded = std::max(latestDecoded, order);
        deepest = std::max(deepest, latestDecoded - k);
    }
    constexpr std::int64_t mostOfAnyCodec = 16; // H.264 and HEVC hold at most 16 pictures
    return static_cast<int>(std::min(deepest, mostOfAnyCodec));
}

} // namespace

FrameLookup::FrameLookup(const ClipIndex& index)
    : m_reorderFrames(reorderDepth(index))
{
    if (!index.matchByPosition) {
        return;
    }
    m_byPosition.reserve(index.entries.size());
    for (std::int64_t k = 0; k < index.frameCount(); ++k) {
        m_byPosition.emplace_back(index.entries[static_cast<std::size_t>(k)].positionBytes, k);
    }
    std::ranges::sort(m_byPosition);
}

std::optional<FrameIndex> FrameLookup::find(
    const ClipIndex& index, std::int64_t ptsTicks, std::int64_t positionBytes) const
{
    using Row = std::pair<std::int64_t, std::int64_t>;
    if (index.matchByPosition) {
        const auto row = std::ranges::lower_bound(m_byPosition, positionBytes, {}, &Row::first);
        return row != m_byPosition.end() && row->first == positionBytes
            ? std::optional(FrameIndex {row->second})
            : std::nullopt;
    }
    const auto entry = std::ranges::lower_bound(index.entries, ptsTicks, {}, &FrameEntry::ptsTicks);
    return entry != index.entries.end() && entry->ptsTicks == ptsTicks
        ? std::optional(FrameIndex {entry - index.entries.begin()})
        : std::nullopt;
}

} // namespace twinlamp::footage
