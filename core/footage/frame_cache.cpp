// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_cache.h"

namespace twinlamp::footage {

Frame FrameCache::take(FrameIndex k)
{
    const auto found = m_byNumber.find(k.value);
    if (found == m_byNumber.end()) {
        return {};
    }
    m_order.splice(m_order.begin(), m_order, found->second);
    return m_order.front();
}

Frame FrameCache::peek(FrameIndex k) const
{
    const auto found = m_byNumber.find(k.value);
    return found == m_byNumber.end() ? Frame {} : *found->second;
}

void FrameCache::put(const Frame& frame)
{
    if (take(frame.number())) {
        return;
    }
    m_order.push_front(frame);
    m_byNumber[frame.number().value] = m_order.begin();
    m_bytes += frame.bytes();
    while (m_bytes > m_limitBytes && m_order.size() > 1) {
        m_bytes -= m_order.back().bytes();
        m_byNumber.erase(m_order.back().number().value);
        m_order.pop_back();
    }
}

} // namespace twinlamp::footage
