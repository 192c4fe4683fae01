// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/effective.h"
#include "core/session/store/session_file.h"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace twinlamp::ui::tests {

/// A new session file; fails the running test where it cannot be made.
[[nodiscard]] session::store::SessionFile newSession(const std::filesystem::path& file);

/// Adds a setting with one run of one measured clip that shows the latencies as `on` presses.
/// @return the clip
session::ClipId addMeasuredClip(session::store::SessionFile& file, const std::string& setting,
    const std::vector<double>& latenciesMs);

/// A press with the given times; no latency where there is no first light.
[[nodiscard]] session::EffectivePress effectivePress(
    int index, double onsetMs, std::optional<double> firstLightMs, Edge edge = Edge::On);

} // namespace twinlamp::ui::tests
