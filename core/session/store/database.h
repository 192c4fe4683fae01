// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <filesystem>
#include <memory>
#include <utility>

namespace twinlamp::session::store {

enum class Access : std::uint8_t
{
    Read,
    Write,
    Create
};

/// A connection with foreign keys on. Changes nothing in a file that exists. Throws what SQLite
/// throws, as the functions below do.
[[nodiscard]] std::unique_ptr<SQLite::Database> connect(
    const std::filesystem::path& file, Access access);

/// From here on a commit is synced to a write-ahead log: it survives a crash and a power cut.
void startWriteAheadLog(SQLite::Database& database);

/// Makes the tables in an empty file; in one transaction.
void createTables(SQLite::Database& database);

/// Brings a session to this version's schema; in one transaction.
/// Throws DamagedSession for a database that is no session, NewerSession for one from a newer
/// program, both before anything is changed.
void migrate(SQLite::Database& database);

/// A connection for reading that changes nothing in the file. One from an older program is read
/// from a copy in memory that was brought to this version's schema. Throws as migrate.
[[nodiscard]] std::unique_ptr<SQLite::Database> connectForReading(
    const std::filesystem::path& file);

/// Leaves one file behind: drops traces that no clip uses, gives free pages back, folds the log in.
void tidyUp(SQLite::Database& database);

class NewerSession : public std::exception
{
};

/// The exception in flight as an Error that names the file. Call inside a catch block only.
[[nodiscard]] Error currentError(const std::filesystem::path& file);

/// Runs what SQLite may throw from; the only way in which this folder calls it.
template<typename Function>
auto guarded(const std::filesystem::path& file, Function&& function) -> Result<decltype(function())>
{
    try {
        if constexpr (std::is_void_v<decltype(function())>) {
            std::forward<Function>(function)();
            return {};
        } else {
            return std::forward<Function>(function)();
        }
    } catch (...) {
        return tl::unexpected<Error>(currentError(file));
    }
}

} // namespace twinlamp::session::store
