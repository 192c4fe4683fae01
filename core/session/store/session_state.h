// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/store/database.h"
#include "core/session/store/file_lock.h"
#include "core/session/store/session_file.h"

#include <map>
#include <optional>

/// Inside of a session file, for the sources that share it. Not for its users.
namespace twinlamp::session::store {

namespace fs = std::filesystem;
using DatabasePtr = std::unique_ptr<SQLite::Database>;

/// The file that a name leads to, so that two names of one session share its lock.
[[nodiscard]] fs::path wholePath(const fs::path& file);

/// Inside a transaction: what the edit does, and that it was made.
void writeEdit(SQLite::Database& database, const Edit& edit, const HistoryEntry& entry);

struct SessionFile::State
{
    fs::path path;
    Session session;
    /// Both are there exactly while the session is open for writing. A reader connects for each
    /// read: a connection of its own would keep the writer from leaving one file behind.
    std::optional<FileLock> lock;
    DatabasePtr database;
    std::int64_t revision = 0;
    bool readOnly = false;
    mutable std::map<std::int64_t, std::weak_ptr<const ClipTraces>> tracesInUse;

    template<typename Function> auto withReader(Function&& function) const
    {
        return guarded(path, [&] {
            if (database != nullptr) {
                return function(*database);
            }
            const DatabasePtr own = connectForReading(path);
            return function(*own);
        });
    }

    [[nodiscard]] std::optional<Error> notWritable() const
    {
        if (database != nullptr) {
            return std::nullopt;
        }
        return Error {Stage::Session, Cause::NoAccess,
            path.string() + " is open read-only; close it elsewhere, or save it under a new name"};
    }

    Result<void> change(const Edit& edit, bool takesBack);
};

} // namespace twinlamp::session::store
