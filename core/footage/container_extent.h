// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>

namespace twinlamp::footage {

/// Size that the container's outermost boxes announce for the whole file, in bytes. A smaller file
/// was cut off. Nothing where the container does not say (MPEG-TS, a recording that was never
/// closed) or the file cannot be read.
///
/// Source: ISO/IEC 14496-12 boxes (32-bit size, 64-bit size when it reads 1, "to the end" when 0);
/// RFC 8794 (EBML element sizes); the RIFF chunk header of AVI.
[[nodiscard]] std::optional<std::int64_t> announcedBytes(const std::filesystem::path& clip);

} // namespace twinlamp::footage
