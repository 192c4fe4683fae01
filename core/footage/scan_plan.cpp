// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/scan_plan.h"

#include "core/base/contracts.h"

#include <algorithm>

namespace twinlamp::footage {

namespace {

// Handing out and counting cost nothing beside so many frames.
constexpr std::int64_t fewestFramesPerChunk = 16;
// With more chunks than this per thread, what is left at the end is small beside the whole.
constexpr std::int64_t manyChunksPerThread = 3;

std::int32_t lastPacketOf(const ClipIndex& index, FrameRange frames)
{
    std::int32_t last = 0;
    for (std::int64_t k = frames.first.value; k < frames.last.value; ++k) {
        last = std::max(last, index.entries[static_cast<std::size_t>(k)].decodeOrder);
    }
    return last;
}

/// Chunks that do not fill a whole round of threads share the threads among them.
void spreadThreads(std::vector<ScanChunk>& chunks, int threads)
{
    const auto all = static_cast<std::int64_t>(chunks.size());
    const std::int64_t rest = all % threads;
    if (rest == 0 || all >= manyChunksPerThread * threads) {
        return;
    }
    for (std::int64_t i = all - rest; i < all; ++i) {
        chunks[static_cast<std::size_t>(i)].decoderThreads
            = std::max(1, static_cast<int>(threads / rest));
    }
}

} // namespace

ScanChunk wholeChunk(const ClipIndex& index, FrameRange frames)
{
    return {frames, lastPacketOf(index, frames), 1};
}

std::vector<ScanChunk> planScan(const ClipIndex& index, FrameRange range, int threads)
{
    TL_EXPECTS(threads >= 1);
    TL_EXPECTS(range.first.value >= 0 && range.last.value <= index.frameCount());
    std::vector<ScanChunk> chunks;
    if (range.frameCount() == 0) {
        return chunks;
    }
    FrameIndex first = range.first;
    const auto close = [&](FrameIndex last) {
        chunks.push_back(wholeChunk(index, {first, last}));
        first = last;
    };
    for (auto cut = std::ranges::upper_bound(index.keyframes, range.first);
         cut != index.keyframes.end() && *cut < range.last; ++cut) {
        if (cut->value - first.value >= fewestFramesPerChunk) {
            close(*cut);
        }
    }
    close(range.last);
    spreadThreads(chunks, threads);
    return chunks;
}

} // namespace twinlamp::footage
