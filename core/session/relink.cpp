// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/relink.h"

#include "core/session/entry_fields.h"

#include <algorithm>
#include <optional>
#include <system_error>

namespace twinlamp::session {

namespace {

namespace fs = std::filesystem;

struct Candidate
{
    fs::path file;
    std::uintmax_t size = 0;
};

std::vector<Candidate> filesBelow(const fs::path& folder, const JobControl& control)
{
    std::vector<Candidate> files;
    std::error_code failed;
    const fs::recursive_directory_iterator end;
    for (fs::recursive_directory_iterator at(
             folder, fs::directory_options::skip_permission_denied, failed);
         !failed && at != end && !control.stopRequested(); at.increment(failed)) {
        std::error_code ignored;
        if (at->is_regular_file(ignored)) {
            files.push_back({at->path(), at->file_size(ignored)});
        }
    }
    // The order in which a file system lists is its own.
    std::ranges::sort(files, {}, &Candidate::file);
    return files;
}

bool isInPlace(const ClipFile& file, const fs::path& sessionFile, const HasHashFn& hasHash)
{
    const auto candidates = clipFileCandidates(file, sessionFile);
    if (candidates.empty()) {
        return false;
    }
    // Same size at the expected place: hashing all footage of a campaign would take hours.
    return file.sizeBytes > 0 || file.sha256.empty() || hasHash(candidates.front(), file.sha256);
}

std::optional<Candidate> search(
    const Clip& clip, const std::vector<Candidate>& files, const HasHashFn& hasHash)
{
    const ClipFile& wanted = clip.file;
    const auto found = std::ranges::find_if(files, [&](const Candidate& candidate) {
        const bool sizeFits = wanted.sizeBytes == 0
            || candidate.size == static_cast<std::uintmax_t>(wanted.sizeBytes);
        if (!sizeFits) {
            return false;
        }
        const bool nameFits = candidate.file.filename() == fileNameOf(clip);
        if (wanted.sha256.empty()) {
            return nameFits && wanted.sizeBytes > 0;
        }
        return (wanted.sizeBytes > 0 || nameFits) && hasHash(candidate.file, wanted.sha256);
    });
    return found == files.end() ? std::nullopt : std::optional(*found);
}

} // namespace

JobResult<Relinking> relinked(const Session& session, const fs::path& sessionFile,
    const fs::path& folder, const HasHashFn& hasHash, const JobControl& control)
{
    std::error_code ignored;
    if (!fs::is_directory(folder, ignored)) {
        return fail(Stage::Session, Cause::NotFound,
            "there is no folder " + folder.string() + " to look for footage in; check the name");
    }
    Relinking result;
    result.edit.label.id = "edit-relink-clips";
    const std::vector<Candidate> files = filesBelow(folder, control);
    const auto clips = static_cast<std::int64_t>(session.clips.size());
    std::int64_t looked = 0;
    for (const Clip& clip : session.clips) {
        if (!control.tick(looked++, clips)) {
            return Cancelled {};
        }
        if (isInPlace(clip.file, sessionFile, hasHash)) {
            ++result.inPlace;
            continue;
        }
        const auto found = search(clip, files, hasHash);
        if (!found) {
            result.missing.push_back(clip.id);
            continue;
        }
        result.found.push_back({clip.id, found->file});
        const Result<Edit> change = changeClipFile(session, clip.id,
            clipFileFor(found->file, sessionFile, clip.file.sha256,
                static_cast<std::int64_t>(found->size)));
        if (!change) {
            return tl::unexpected<Error>(change.error());
        }
        result.edit.changes.insert(
            result.edit.changes.end(), change->changes.begin(), change->changes.end());
    }
    // A hash that was stopped tells nothing: its clip only seems to be missing.
    if (!control.tick(looked, clips)) {
        return Cancelled {};
    }
    result.edit.label.values = {std::to_string(result.found.size())};
    return result;
}

} // namespace twinlamp::session
