// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/frame_source.h"

#include <cstddef>
#include <cstdint>
#include <map>

namespace twinlamp::footage {

/// Which way a hand goes through the frames.
enum class Travel : std::int8_t
{
    Back = -1,
    Still = 0,
    On = 1
};

/// Decoded frames around the one in hand. Once they exceed a number of bytes, the frame furthest
/// from the hand is dropped; those that the hand leaves behind count as twice as far. One frame is
/// kept however large it is.
class FrameCache
{
public:
    explicit FrameCache(std::size_t limitBytes)
        : m_limitBytes(limitBytes)
    {
    }

    /// From now on distances are from here.
    void setHand(FrameIndex hand, Travel travel);

    /// An empty frame where it is not here.
    [[nodiscard]] Frame peek(FrameIndex k) const;
    /// The frame may be the one that is dropped, where all others are nearer to the hand.
    void put(const Frame& frame);

    [[nodiscard]] bool has(FrameIndex k) const { return m_frames.contains(k.value); }

    [[nodiscard]] std::size_t bytes() const { return m_bytes; }

    /// Frames ahead of the hand that surely stay once they are put: half of what fits, by the mean
    /// size of the frames here. 0 while nothing is here.
    [[nodiscard]] std::int64_t roomAhead() const;

private:
    [[nodiscard]] std::int64_t farness(std::int64_t k) const;

    std::size_t m_limitBytes;
    std::size_t m_bytes = 0;
    std::map<std::int64_t, Frame> m_frames; ///< by number: the furthest is the first or the last
    std::int64_t m_hand = 0;
    Travel m_travel = Travel::Still;
};

} // namespace twinlamp::footage
