// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/film/scene.h"
#include "core/film/truth.h"

#include <filesystem>

namespace twinlamp::film {

struct FilmReport
{
    std::filesystem::path clip;
    std::filesystem::path truthFile;
    Truth truth;
    std::int64_t framesWritten = 0; ///< hidden ones included
    std::int64_t bytes = 0; ///< of the clip
    double seconds = 0.0; ///< that the work took
};

/// Films a scene into a clip and writes its truth beside it. Both files are written aside and
/// renamed, the truth first: a clip that is there has its truth. Ticks once per frame.
/// @param out  its ending chooses the container
/// @error Film/InvalidValue  the container cannot hold what the scene asks for
/// @error Film/WriteFailed, UnsupportedCodec
[[nodiscard]] JobResult<FilmReport> filmScene(
    const Scene& scene, const std::filesystem::path& out, const JobControl& control);

} // namespace twinlamp::film
