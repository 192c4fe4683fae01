// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/frame_range.h"
#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/base/sentence.h"
#include "core/footage/clip_info.h"

#include <filesystem>
#include <vector>

namespace twinlamp::footage {

/// One shown frame. Ticks are those of the stream's time base (ClipInfo).
struct FrameEntry
{
    std::int64_t ptsTicks = 0;
    std::int64_t positionBytes = -1; ///< of its packet in the file; -1 unknown
    std::int32_t decodeOrder = 0; ///< rank of its packet among all packets of the stream
    bool keyframe = false; ///< decoding can start here
    bool operator==(const FrameEntry&) const = default;
};

/// Every shown frame of one clip in presentation order: frame k is entries[k].
/// Frames hidden by an edit list (discard flag) are not in it. A value; safe to share between
/// threads once built.
struct ClipIndex
{
    ClipInfo info;
    std::vector<FrameEntry> entries;
    /// Frames from which decoding can start, ascending; the first is 0 unless the clip starts
    /// damaged.
    std::vector<FrameIndex> keyframes;
    std::vector<Sentence> notes; ///< truncated, damaged, uneven stamps: what a report must say
    /// The container's stamps do not tell frames apart (missing or double), so packets are known by
    /// their position in the file.
    bool matchByPosition = false;
    bool operator==(const ClipIndex&) const = default;

    [[nodiscard]] std::int64_t frameCount() const
    {
        return static_cast<std::int64_t>(entries.size());
    }

    [[nodiscard]] FrameRange all() const { return {{0}, {frameCount()}}; }

    [[nodiscard]] PlayTime playTime(FrameIndex k) const; ///< from the first shown frame, which is 0
};

/// Where indexes are kept: $XDG_CACHE_HOME/twinlamp/index or its default. Empty path: no cache.
[[nodiscard]] std::filesystem::path defaultIndexCacheFolder();

/// Index of `clip`, from the cache where its key still fits (size, modification time, hash of first
/// and last MiB, libav version), else from packets without decoding (by decoding where packets do
/// not tell). Only the `file` protocol and known containers are opened.
/// @error Footage/NotFound, NoAccess, NotAVideo, NoVideoStream, UnsupportedCodec, Damaged,
/// SizeChanges
[[nodiscard]] JobResult<ClipIndex> indexClip(const std::filesystem::path& clip,
    const std::filesystem::path& cacheFolder, const JobControl& control);

/// SHA-256 of the whole file, lower-case hex.
/// @error Footage/NotFound, NoAccess
[[nodiscard]] JobResult<std::string> sha256OfFile(
    const std::filesystem::path& file, const JobControl& control);

} // namespace twinlamp::footage
