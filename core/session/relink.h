// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/session/clip_files.h"
#include "core/session/edit.h"

#include <filesystem>
#include <vector>

namespace twinlamp::session {

/// A clip and the footage that it was found in.
struct FoundClip
{
    ClipId clip;
    std::filesystem::path file;
    bool operator==(const FoundClip&) const = default;
};

/// What looking for moved footage gave.
struct Relinking
{
    Edit edit; ///< gives every clip that was found its new place, as one step
    std::vector<FoundClip> found;
    std::vector<ClipId> missing; ///< found nowhere
    int inPlace = 0; ///< where the session expects them
};

/// Looks in a folder and all below it for the footage that is not where the session expects it.
/// Taken is a file of the clip's size whose hash is the clip's; of a clip that was never hashed,
/// one of its name and size. Folders that may not be read are passed by; links to folders are not
/// followed.
///
/// @param control  progress in clips
/// @error Session/NotFound      there is no such folder
/// @error Session/InvalidValue  as `applied`
/// Tests: tests/core/session/relink_test.cpp
[[nodiscard]] JobResult<Relinking> relinked(const Session& session,
    const std::filesystem::path& sessionFile, const std::filesystem::path& folder,
    const HasHashFn& hasHash, const JobControl& control = {});

} // namespace twinlamp::session
