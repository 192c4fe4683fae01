// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit.h"
#include "core/session/session.h"

#include <SQLiteCpp/SQLiteCpp.h>

/// Entries of a session as rows, apart from clips. Throw what SQLite throws.
namespace twinlamp::session::store {

void insertInfo(SQLite::Database& database, const SessionInfo& info);
void updateInfo(SQLite::Database& database, const SessionInfo& info);
void loadInfo(SQLite::Database& database, Session& session);

/// Writes a row anew or over the one of the same id; `remove` takes it away.
void write(SQLite::Database& database, const Rig& rig);
void write(SQLite::Database& database, const LinkSetting& setting);
void write(SQLite::Database& database, const Run& run);
void remove(SQLite::Database& database, RigId id);
void remove(SQLite::Database& database, SettingId id);
void remove(SQLite::Database& database, RunId id);

[[nodiscard]] std::vector<Rig> loadRigs(SQLite::Database& database);
[[nodiscard]] std::vector<LinkSetting> loadSettings(SQLite::Database& database);
[[nodiscard]] std::vector<Run> loadRuns(SQLite::Database& database);

/// Counts commits, so that readers see that something changed.
[[nodiscard]] std::int64_t revisionOf(SQLite::Database& database);
void countRevision(SQLite::Database& database);

} // namespace twinlamp::session::store
