// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/json_writer.h"
#include "core/session/history.h"

#include <string>
#include <vector>

/// The edit history of a session, for people and programs.
namespace twinlamp::report {

/// The JSON of `twinlamp session history`: `entries`, oldest first, each with `at` (UTC), `who`,
/// `program_version`, `what` (a sentence), `undone` and `changes` (`kind`, `entry`, `field`,
/// `from`, `to`; null where there was or is nothing).
[[nodiscard]] Json historyJson(const std::vector<session::HistoryEntry>& history);

/// A line for each entry, and below it one for each value that changed.
[[nodiscard]] std::string historyText(const std::vector<session::HistoryEntry>& history);

} // namespace twinlamp::report
