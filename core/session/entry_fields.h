// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit.h"

#include <string>
#include <vector>

/// The entries of a session value by value, in words: what the history and a merge tell.
namespace twinlamp::session {

struct NamedField
{
    std::string name; ///< with its unit: "bit_rate_mbit"
    std::string text; ///< empty where nothing is told
    bool operator==(const NamedField&) const = default;
};

using Fields = std::vector<NamedField>;

[[nodiscard]] Fields fieldsOf(const SessionInfo& info);
[[nodiscard]] Fields fieldsOf(const Rig& rig);
[[nodiscard]] Fields fieldsOf(const Conditions& conditions);
[[nodiscard]] Fields fieldsOf(const LinkSetting& setting);
/// @param session  names the setting
[[nodiscard]] Fields fieldsOf(const Run& run, const Session& session);
/// File, place, options, measurement in one line, and everything done by hand to a press.
/// @param session  names run, setting and rig
[[nodiscard]] Fields fieldsOf(const Clip& clip, const Session& session);
[[nodiscard]] Fields fieldsOf(const RigCheck& check, const Session& session);
[[nodiscard]] Fields fieldsOf(const measure::MeasureOptions& options);

/// Name of a clip's file without its folder.
[[nodiscard]] std::string fileNameOf(const Clip& clip);
/// "run 1 of narrow".
[[nodiscard]] std::string titleOf(const Run& run, const Session& session);
/// "16 presses, 15 with a latency, at 480 frames/s"; empty where it is not measured.
[[nodiscard]] std::string measurementText(const SharedValue<ClipMeasurement>& measurement);
/// Shortest digits that read back the same.
[[nodiscard]] std::string shortestText(double value);

} // namespace twinlamp::session
