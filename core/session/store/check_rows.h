// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <vector>

/// Rig checks as rows. Throw what SQLite throws; DamagedSession where a word cannot be read.
namespace twinlamp::session::store {

void write(SQLite::Database& database, const RigCheck& check);
void remove(SQLite::Database& database, RigCheckId id);
[[nodiscard]] std::vector<RigCheck> loadRigChecks(SQLite::Database& database);

} // namespace twinlamp::session::store
