// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

namespace twinlamp::session::store {

/// Version that this program writes (`user_version` of the database).
inline constexpr int currentSchemaVersion = 4;

/// Marks a database as a session (`application_id`): "TwLp" as a number.
inline constexpr int applicationId = 0x54774C70;

/// @throws DamagedSession  the database is no session
/// @throws NewerSession    its version is above ours
[[nodiscard]] int schemaVersionOf(SQLite::Database& database);

/// Applies the steps from a version (0: an empty database) to the current one.
/// @pre inside a transaction
void applyMigrations(SQLite::Database& database, int fromVersion);

} // namespace twinlamp::session::store
