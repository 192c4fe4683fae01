// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/frame_source.h"

#include <cstddef>
#include <cstdint>
#include <list>
#include <unordered_map>

namespace twinlamp::footage {

/// Decoded frames, the least recently used dropped first once they exceed a number of bytes. One
/// frame is kept however large it is.
class FrameCache
{
public:
    explicit FrameCache(std::size_t limitBytes)
        : m_limitBytes(limitBytes)
    {
    }

    /// The frame, now the most recently used; an empty one where it is not here.
    [[nodiscard]] Frame take(FrameIndex k);
    /// The same without touching the order.
    [[nodiscard]] Frame peek(FrameIndex k) const;
    void put(const Frame& frame);

    [[nodiscard]] std::size_t bytes() const { return m_bytes; }

private:
    using Order = std::list<Frame>;
    std::size_t m_limitBytes;
    std::size_t m_bytes = 0;
    Order m_order; ///< most recently used first
    std::unordered_map<std::int64_t, Order::iterator> m_byNumber;
};

} // namespace twinlamp::footage
