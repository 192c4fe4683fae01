// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/film/scene.h"

#include <nlohmann/json_fwd.hpp>
#include <string_view>

namespace twinlamp::film {

/// The keys of one JSON object, bases merged already, as a checked scene.
/// @error Film/InvalidValue  names file and key
[[nodiscard]] Result<Scene> sceneFromJson(const nlohmann::json& object, std::string_view fileName);

} // namespace twinlamp::film
