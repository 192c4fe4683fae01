// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/scan_plan.h"

#include <cstddef>
#include <mutex>
#include <optional>
#include <vector>

namespace twinlamp::footage {

/// Deals the pieces of a scan to its threads. A thread gets pieces that follow one another, since a
/// decoder that starts anew decodes a keyframe twice where GOPs are open; one that has run out
/// takes half of what the busiest has left. The clip's beginning comes first, and soon.
/// Any thread may call next().
class ScanDeal
{
public:
    ScanDeal(std::vector<ScanChunk> pieces, int threads);

    /// The next piece of this thread; its `goesOn` tells whether the one behind it is, so far, this
    /// thread's as well. Empty: nothing is left.
    [[nodiscard]] std::optional<ScanChunk> next(int thread);

private:
    struct Run
    {
        std::size_t next = 0;
        std::size_t last = 0;
    };

    [[nodiscard]] Run dealt();
    [[nodiscard]] Run halfOfTheLongest();

    std::mutex m_mutex;
    std::vector<ScanChunk> m_pieces;
    std::vector<Run> m_runs; ///< of each thread: pieces not begun
    std::size_t m_dealt = 0; ///< pieces in front of this one belong to a thread
    std::int64_t m_framesDealt = 0;
    std::int64_t m_framesLeft = 0;
};

} // namespace twinlamp::footage
