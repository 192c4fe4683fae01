// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/history.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <vector>

/// The edit history as rows. Throw what SQLite throws; DamagedSession where a list cannot be read.
namespace twinlamp::session::store {

/// Writes the entry behind all others; one whose id is there already is left as it is.
/// @return Whether it was written.
bool insertHistory(SQLite::Database& database, const HistoryEntry& entry);

/// By rising time; of one time in the order in which they were written.
[[nodiscard]] std::vector<HistoryEntry> loadHistory(SQLite::Database& database);

} // namespace twinlamp::session::store
