// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_index.h"

#include "core/base/contracts.h"
#include "core/footage/av_handles.h"
#include "core/footage/capture_clock.h"
#include "core/footage/container_extent.h"
#include "core/footage/index_build.h"
#include "core/footage/index_cache.h"
#include "core/footage/packet_table.h"

#include <cmath>
#include <cstdlib>
#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

namespace twinlamp::footage {

namespace {

/// Index from packets, or by decoding where they do not tell.
JobResult<ClipIndex> readIndex(
    OpenClip& open, const std::filesystem::path& clip, const JobControl& control)
{
    const ClipInfo info = describe(open, clip);
    auto packets = readPackets(open, clip, control);
    if (packets.isCancelled()) {
        return Cancelled {};
    }
    if (packets.isError()) {
        return packets.error();
    }
    if (!needsDecoding(open, packets.value())) {
        return indexFromPackets(packets.value(), info);
    }
    auto again = openClip(clip, Probe::Full, control.stop);
    if (!again) {
        return std::move(again.error());
    }
    return indexByDecoding(std::move(*again), packets.value(), info, clip, control);
}

void addNotes(ClipIndex& index, const std::filesystem::path& clip)
{
    if (const auto announced = announcedBytes(clip); announced > index.info.sizeBytes) {
        index.notes.push_back({"clip-truncated", {std::to_string(index.frameCount())}});
    }
    if (hasUnevenStamps(index)) {
        index.notes.push_back({"stamps-uneven", {}});
    }
}

JobResult<ClipIndex> buildIndex(const std::filesystem::path& clip, const JobControl& control)
{
    auto opened = openClip(clip, Probe::Full, control.stop);
    if (control.stopRequested()) {
        return Cancelled {};
    }
    if (!opened) {
        return std::move(opened.error());
    }
    auto read = readIndex(*opened, clip, control);
    if (!read.hasValue()) {
        return read;
    }
    ClipIndex index = std::move(read).value();
    if (index.entries.empty()) {
        return footageError(Cause::Damaged, clip,
            "holds no frame that can be shown: the recording was cut off or is damaged; copy it "
            "again.");
    }
    addNotes(index, clip);
    return index;
}

} // namespace

PlayTime ClipIndex::playTime(FrameIndex k) const
{
    TL_EXPECTS(all().contains(k));
    const std::int64_t ticks
        = entries[static_cast<std::size_t>(k.value)].ptsTicks - entries.front().ptsTicks;
    return {av_rescale_q(ticks,
        {static_cast<int>(info.timeBaseNum), static_cast<int>(info.timeBaseDen)},
        {1, 1'000'000'000})};
}

std::filesystem::path defaultIndexCacheFolder()
{
    const char* cache = std::getenv("XDG_CACHE_HOME");
    if (cache != nullptr && *cache == '/') { // the standard says: ignore relative paths
        return std::filesystem::path(cache) / "twinlamp" / "index";
    }
    const char* home = std::getenv("HOME");
    if (home != nullptr && *home == '/') {
        return std::filesystem::path(home) / ".cache" / "twinlamp" / "index";
    }
    return {};
}

JobResult<ClipIndex> indexClip(const std::filesystem::path& clip,
    const std::filesystem::path& cacheFolder, const JobControl& control)
{
    const auto key = cacheFolder.empty() ? std::nullopt : indexCacheKey(clip);
    if (key) {
        if (auto kept = loadIndex(cacheFolder, *key)) {
            kept->info.file = clip.string();
            return std::move(*kept);
        }
    }
    auto built = buildIndex(clip, control);
    if (key && built.hasValue()) {
        storeIndex(cacheFolder, *key, built.value());
    }
    return built;
}

} // namespace twinlamp::footage
