// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_index.h"

#include "core/base/contracts.h"
#include "core/footage/av_handles.h"
#include "core/footage/index_build.h"
#include "core/footage/packet_table.h"

#include <cmath>
#include <cstdlib>
#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

namespace twinlamp::footage {

namespace {

JobResult<ClipIndex> buildIndex(const std::filesystem::path& clip, const JobControl& control)
{
    auto opened = openClip(clip, Probe::Full, control.stop);
    if (!opened) {
        if (control.stopRequested()) {
            return Cancelled {};
        }
        return std::move(opened.error());
    }
    const ClipInfo info = describe(*opened, clip);
    auto packets = readPackets(*opened, clip, control);
    if (!packets.hasValue()) {
        return packets.isCancelled() ? JobResult<ClipIndex>(Cancelled {})
                                     : JobResult<ClipIndex>(packets.error());
    }
    ClipIndex index;
    if (needsDecoding(*opened, packets.value())) {
        auto again = openClip(clip, Probe::Full, control.stop);
        if (!again) {
            return std::move(again.error());
        }
        auto decoded = indexByDecoding(std::move(*again), packets.value(), info, clip, control);
        if (!decoded.hasValue()) {
            return decoded;
        }
        index = std::move(decoded).value();
    } else {
        index = indexFromPackets(packets.value(), info);
    }
    if (index.entries.empty()) {
        return footageError(Cause::Damaged, clip,
            "holds no frame that can be shown: the recording was cut off or is damaged; copy it "
            "again.");
    }
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
    const std::filesystem::path& /*cacheFolder*/, const JobControl& control)
{
    return buildIndex(clip, control);
}

} // namespace twinlamp::footage
