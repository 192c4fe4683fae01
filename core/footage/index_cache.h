// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/frame_index.h"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace twinlamp::footage {

/// Name under which the index of `clip` as it is now is kept: made of its size, modification time,
/// the hash of its first and last MiB, and the versions of libav and of the index itself. Nothing
/// where the file cannot be read.
[[nodiscard]] std::optional<std::string> indexCacheKey(const std::filesystem::path& clip);

/// The kept index; nothing where there is none, or where it is damaged.
[[nodiscard]] std::optional<ClipIndex> loadIndex(
    const std::filesystem::path& cacheFolder, const std::string& key);

/// Keeps `index`: written aside and renamed. A cache that cannot be written is logged and done
/// without.
void storeIndex(
    const std::filesystem::path& cacheFolder, const std::string& key, const ClipIndex& index);

/// An index as bytes, with a checksum at the end.
[[nodiscard]] std::vector<std::uint8_t> packIndex(const ClipIndex& index);
/// Nothing where the bytes are not what packIndex wrote.
[[nodiscard]] std::optional<ClipIndex> unpackIndex(const std::vector<std::uint8_t>& bytes);

} // namespace twinlamp::footage
