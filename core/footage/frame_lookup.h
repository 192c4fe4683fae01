// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/frame_index.h"

#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

namespace twinlamp::footage {

/// Finds the frame that a packet holds, by its time stamp, or by its position where stamps do not
/// tell frames apart.
class FrameLookup
{
public:
    FrameLookup() = default;
    explicit FrameLookup(const ClipIndex& index);

    /// @pre `index` is the one this was made for
    [[nodiscard]] std::optional<FrameIndex> find(
        const ClipIndex& index, std::int64_t ptsTicks, std::int64_t positionBytes) const;

    /// Pictures that a decoder must hold back so that they come out in order.
    [[nodiscard]] int reorderFrames() const { return m_reorderFrames; }

private:
    std::vector<std::pair<std::int64_t, std::int64_t>> m_byPosition; ///< position, frame; sorted
    int m_reorderFrames = 0;
};

} // namespace twinlamp::footage
