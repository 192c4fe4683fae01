// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/frame_index.h"

#include <cstdint>
#include <vector>

namespace twinlamp::footage {

/// A piece of a scan that one decoder works through alone.
struct ScanChunk
{
    FrameRange frames;
    /// Rank of the last packet that the frames need; an open GOP needs packets of the next one.
    std::int32_t lastPacket = 0;
    int decoderThreads = 1;
    /// The same decoder goes on behind it: it need not be told where to end.
    bool goesOn = false;
};

/// A piece that is not cut further.
[[nodiscard]] ScanChunk wholeChunk(const ClipIndex& index, FrameRange frames);

/// Cuts `range` at keyframes into chunks, in order, as small as is worth handing out; who works
/// through which: ScanDeal. Where there are too few chunks for the threads, the last ones get
/// decoders with several threads.
/// @pre threads >= 1
[[nodiscard]] std::vector<ScanChunk> planScan(
    const ClipIndex& index, FrameRange range, int threads);

} // namespace twinlamp::footage
