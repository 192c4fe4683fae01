// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"

#include <filesystem>
#include <functional>
#include <optional>
#include <vector>

namespace twinlamp::session {

/// What a session keeps of a file's whereabouts. Both paths are made without looking at the disk
/// beyond the current folder.
[[nodiscard]] ClipFile clipFileFor(const std::filesystem::path& clip,
    const std::filesystem::path& sessionFile, std::string sha256, std::int64_t sizeBytes);

/// The same whereabouts for a session that moves from one file to another.
[[nodiscard]] ClipFile rebased(const ClipFile& file, const std::filesystem::path& fromSession,
    const std::filesystem::path& toSession);

/// Existing files that may be the clip, best first: at the relative path, at the absolute one, of
/// the same name in the session's folder. Those of another size are left out where the size is
/// known.
[[nodiscard]] std::vector<std::filesystem::path> clipFileCandidates(
    const ClipFile& file, const std::filesystem::path& sessionFile);

/// Says whether a file's SHA-256 is the given one; slow, so it is the caller's (a job).
using HasHashFn = std::function<bool(const std::filesystem::path&, const std::string& sha256)>;

/// The first candidate that has the clip's hash; without a known hash, the first candidate.
[[nodiscard]] std::optional<std::filesystem::path> findClipFile(
    const ClipFile& file, const std::filesystem::path& sessionFile, const HasHashFn& hasHash);

} // namespace twinlamp::session
