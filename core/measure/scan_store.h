// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/frame_index.h"
#include "core/measure/scan_memory.h"

#include <cstdint>
#include <filesystem>
#include <iosfwd>
#include <memory>
#include <optional>

/// Scans with their light maps, kept between runs of the program: a file a clip, which may be
/// deleted at any time.
namespace twinlamp::measure {

/// The files together are held below this: some 12 minutes of 1080p at 240 frames/s, 6 kB a frame.
inline constexpr std::int64_t mostKeptMapBytes = std::int64_t {1} << 30;

/// Keeps a whole scan that has its map; others are left out. The file is named like the clip's
/// index (footage::indexCacheKey), written aside and renamed; then the files used longest ago go
/// until the folder is below its bound. What cannot be written is logged and done without.
void storeScan(const std::filesystem::path& folder, const std::filesystem::path& clip,
    const ScanMemory& memory, std::int64_t mostBytes = mostKeptMapBytes);

/// The kept scan of a clip as it is now; null where there is none, where it is damaged or not of
/// this clip. Its file then counts as used.
[[nodiscard]] std::shared_ptr<const ScanMemory> loadScan(const std::filesystem::path& folder,
    const std::filesystem::path& clip, const footage::ClipIndex& index);

/// A scan as bytes with a checksum at the end, of this machine's byte order.
/// @pre it has its map and follows nothing
void writeScan(std::ostream& out, const ScanMemory& memory);
/// @param bytes  of the whole of it
/// @return nothing where the bytes are not what writeScan of this version wrote
[[nodiscard]] std::optional<ScanMemory> readScan(std::istream& in, std::uint64_t bytes);

} // namespace twinlamp::measure
