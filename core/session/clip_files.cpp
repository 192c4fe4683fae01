// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/clip_files.h"

#include <algorithm>
#include <system_error>

namespace twinlamp::session {

namespace {

namespace fs = std::filesystem;

fs::path folderOf(const fs::path& sessionFile)
{
    std::error_code ignored;
    const fs::path whole = fs::absolute(sessionFile, ignored);
    return (ignored ? sessionFile : whole).lexically_normal().parent_path();
}

bool mayBe(const fs::path& candidate, const ClipFile& file)
{
    std::error_code failed;
    if (!fs::is_regular_file(candidate, failed) || failed) {
        return false;
    }
    const std::uintmax_t size = fs::file_size(candidate, failed);
    return !failed && (file.sizeBytes == 0 || size == static_cast<std::uintmax_t>(file.sizeBytes));
}

} // namespace

ClipFile clipFileFor(
    const fs::path& clip, const fs::path& sessionFile, std::string sha256, std::int64_t sizeBytes)
{
    std::error_code ignored;
    const fs::path whole = fs::absolute(clip, ignored).lexically_normal();
    const fs::path relative = whole.lexically_relative(folderOf(sessionFile));
    return {relative.generic_string(), whole.generic_string(), std::move(sha256), sizeBytes};
}

ClipFile rebased(const ClipFile& file, const fs::path& fromSession, const fs::path& toSession)
{
    ClipFile moved = file;
    if (!file.relativePath.empty()) {
        const fs::path whole = (folderOf(fromSession) / file.relativePath).lexically_normal();
        moved.relativePath = whole.lexically_relative(folderOf(toSession)).generic_string();
    }
    return moved;
}

std::vector<fs::path> clipFileCandidates(const ClipFile& file, const fs::path& sessionFile)
{
    const fs::path folder = folderOf(sessionFile);
    std::vector<fs::path> places;
    if (!file.relativePath.empty()) {
        places.push_back((folder / file.relativePath).lexically_normal());
    }
    if (!file.absolutePath.empty()) {
        places.emplace_back(file.absolutePath);
        places.push_back(folder / fs::path(file.absolutePath).filename());
    }
    if (!file.relativePath.empty()) {
        places.push_back(folder / fs::path(file.relativePath).filename());
    }
    std::vector<fs::path> candidates;
    for (const fs::path& place : places) {
        if (mayBe(place, file) && std::ranges::find(candidates, place) == candidates.end()) {
            candidates.push_back(place);
        }
    }
    return candidates;
}

std::optional<fs::path> findClipFile(
    const ClipFile& file, const fs::path& sessionFile, const HasHashFn& hasHash)
{
    for (const fs::path& candidate : clipFileCandidates(file, sessionFile)) {
        if (file.sha256.empty() || hasHash(candidate, file.sha256)) {
            return candidate;
        }
    }
    return std::nullopt;
}

} // namespace twinlamp::session
