// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/film/scene.h"

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace twinlamp::film {

/// The keys of one JSON object, bases merged already, as a checked scene.
/// @error Film/InvalidValue  names file and key
[[nodiscard]] Result<Scene> sceneFromJson(const nlohmann::json& object, std::string_view fileName);

/// Full names of all keys that a scene may hold, such as "camera.exposure_ms", those of parts that
/// are left out by default included, objects themselves and list entries not.
[[nodiscard]] std::vector<std::string> sceneKeys();

} // namespace twinlamp::film
