// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/scene.h"

#include <filesystem>
#include <string>

namespace twinlamp::film {

/// Name in libavformat of the container that a clip's ending stands for; null for another ending.
[[nodiscard]] const char* muxerFor(const std::filesystem::path& clip);

/// Complaint about a scene that a container cannot hold, in one sentence that names the clip; empty
/// where it can.
[[nodiscard]] std::string containerComplaint(const std::filesystem::path& clip, const Scene& scene);

} // namespace twinlamp::film
