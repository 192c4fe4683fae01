// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"

namespace twinlamp {

/// Frames [first, last) of one clip: `last` is not part of it.
struct FrameRange
{
    FrameIndex first;
    FrameIndex last;
    bool operator==(const FrameRange&) const = default;

    [[nodiscard]] constexpr std::int64_t frameCount() const
    {
        return last.value > first.value ? last.value - first.value : 0;
    }

    /// Steps between neighbours: one fewer than frames. A duration is made of intervals, never of
    /// frames.
    [[nodiscard]] constexpr std::int64_t intervalCount() const
    {
        return frameCount() > 0 ? frameCount() - 1 : 0;
    }

    [[nodiscard]] constexpr bool contains(FrameIndex k) const { return first <= k && k < last; }
};

} // namespace twinlamp
