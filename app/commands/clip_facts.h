// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/base/job_control.h"
#include "core/base/measure_options.h"
#include "core/base/result.h"

#include <filesystem>

namespace twinlamp::commands {

/// What can be said of a clip in which nothing was measured: for the JSON that stands beside exit
/// status 4. A capture rate that is not known is 0/1.
/// @error Footage/…  the clip cannot be read
[[nodiscard]] JobResult<ClipFacts> clipFactsOf(const std::filesystem::path& clip,
    const measure::MeasureOptions& options, const JobControl& control);

} // namespace twinlamp::commands
