// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_cache.h"

#include <cstdlib>
#include <iterator>

namespace twinlamp::footage {

void FrameCache::setHand(FrameIndex hand, Travel travel)
{
    m_hand = hand.value;
    m_travel = travel;
}

Frame FrameCache::peek(FrameIndex k) const
{
    const auto found = m_frames.find(k.value);
    return found == m_frames.end() ? Frame {} : found->second;
}

std::int64_t FrameCache::farness(std::int64_t k) const
{
    const std::int64_t away = k - m_hand;
    const bool isBehind = m_travel != Travel::Still && away * static_cast<int>(m_travel) < 0;
    return isBehind ? 2 * std::abs(away) : std::abs(away);
}

void FrameCache::put(const Frame& frame)
{
    if (!m_frames.emplace(frame.number().value, frame).second) {
        return;
    }
    m_bytes += frame.bytes();
    while (m_bytes > m_limitBytes && m_frames.size() > 1) {
        const auto last = std::prev(m_frames.end());
        const auto furthest
            = farness(m_frames.begin()->first) > farness(last->first) ? m_frames.begin() : last;
        m_bytes -= furthest->second.bytes();
        m_frames.erase(furthest);
    }
}

std::int64_t FrameCache::roomAhead() const
{
    if (m_frames.empty() || m_bytes == 0) {
        return 0;
    }
    // Of frames nearer than d there are d ahead and d / 2 behind: with d half of all that fit,
    // none of them is ever the furthest of too many.
    return static_cast<std::int64_t>(m_limitBytes / (2 * (m_bytes / m_frames.size())));
}

} // namespace twinlamp::footage
