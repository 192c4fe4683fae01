// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <optional>
#include <vector>

/// Clips with their measurements and corrections as rows. Throw what SQLite throws.
namespace twinlamp::session::store {

/// Writes what differs from `before`; all of it where there was nothing.
void write(SQLite::Database& database, const Clip& clip, const std::optional<Clip>& before);
/// With everything that belongs to it, but for traces.
void remove(SQLite::Database& database, ClipId id);

/// @throws DamagedSession  a word or a list that cannot be read
[[nodiscard]] std::vector<Clip> loadClips(SQLite::Database& database);

} // namespace twinlamp::session::store
