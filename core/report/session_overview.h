// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/json_writer.h"
#include "core/session/session.h"

#include <string>

/// What a session holds, without its figures.
namespace twinlamp::report {

/// The JSON of `twinlamp session show`: `settings` with their conditions, runs, clips and readouts,
/// and `rigs` with their checks.
[[nodiscard]] Json overviewJson(const session::Session& session);

/// A line for each setting with what it holds, then the rigs.
[[nodiscard]] std::string overviewText(const session::Session& session);

/// What is told of a link setting: numbers in the unit of their name, empty ones left out.
[[nodiscard]] Json conditionsJson(const session::Conditions& conditions);
[[nodiscard]] std::string conditionsText(const session::LinkSetting& setting);

} // namespace twinlamp::report
