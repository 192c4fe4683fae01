// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/database.h"

#include "core/session/store/schema.h"
#include "core/session/store/sql_row.h"

#include <SQLiteCpp/Backup.h>
#include <sqlite3.h>

namespace twinlamp::session::store {

namespace {

/// Long enough for another process to finish reading a session.
constexpr int busyTimeoutMs = 2000;

int flagsOf(Access access)
{
    switch (access) {
    case Access::Read:
        return SQLite::OPEN_READONLY;
    case Access::Write:
        return SQLite::OPEN_READWRITE;
    case Access::Create:
        break;
    }
    return SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE;
}

Error errorOf(const SQLite::Exception& exception, const std::string& file)
{
    const std::string said = std::string(" (") + exception.what() + ")";
    switch (exception.getErrorCode()) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return {Stage::Session, Cause::Busy,
            file + " is in use by another program" + said + "; try again in a moment"};
    case SQLITE_NOTADB:
    case SQLITE_CORRUPT:
        return {Stage::Session, Cause::Damaged,
            file + " is not a session, or a damaged one" + said + "; choose another file"};
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
    case SQLITE_AUTH:
    case SQLITE_READONLY:
        return {Stage::Session, Cause::NoAccess,
            file + " cannot be opened" + said + "; check that you may read and write it"};
    case SQLITE_FULL:
    case SQLITE_IOERR:
        return {Stage::Session, Cause::WriteFailed,
            file + " cannot be written" + said + "; check the disk and the room on it"};
    default:
        return {Stage::Session, Cause::Internal,
            file + " could not be used" + said + "; the session on disk is unchanged"};
    }
}

} // namespace

std::unique_ptr<SQLite::Database> connect(const std::filesystem::path& file, Access access)
{
    auto database
        = std::make_unique<SQLite::Database>(file.string(), flagsOf(access), busyTimeoutMs);
    if (access == Access::Create) {
        // Only an empty database takes this: pages of dropped traces can be given back later.
        database->exec("PRAGMA auto_vacuum = INCREMENTAL");
    }
    database->exec("PRAGMA foreign_keys = ON");
    return database;
}

void startWriteAheadLog(SQLite::Database& database)
{
    database.exec("PRAGMA journal_mode = WAL");
    database.exec("PRAGMA synchronous = FULL");
}

void createTables(SQLite::Database& database)
{
    SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
    applyMigrations(database, 0);
    transaction.commit();
}

void migrate(SQLite::Database& database)
{
    if (const int version = schemaVersionOf(database); version < currentSchemaVersion) {
        SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
        applyMigrations(database, version);
        transaction.commit();
    }
}

std::unique_ptr<SQLite::Database> connectForReading(const std::filesystem::path& file)
{
    std::unique_ptr<SQLite::Database> database = connect(file, Access::Read);
    if (schemaVersionOf(*database) == currentSchemaVersion) {
        return database;
    }
    auto copy = std::make_unique<SQLite::Database>(":memory:", flagsOf(Access::Create));
    SQLite::Backup backup(*copy, *database);
    backup.executeStep();
    copy->exec("PRAGMA foreign_keys = ON");
    migrate(*copy);
    return copy;
}

void tidyUp(SQLite::Database& database)
{
    database.exec("DELETE FROM traces WHERE id NOT IN"
                  " (SELECT traces_id FROM measurements WHERE traces_id IS NOT NULL)");
    database.exec("PRAGMA incremental_vacuum");
    database.exec("PRAGMA wal_checkpoint(TRUNCATE)");
    database.exec("PRAGMA journal_mode = DELETE");
}

Error currentError(const std::filesystem::path& file)
{
    const std::string name = file.string();
    try {
        throw;
    } catch (const SQLite::Exception& exception) {
        return errorOf(exception, name);
    } catch (const NewerSession&) {
        return {Stage::Session, Cause::NewerVersion,
            name
                + " was written by a newer version of this program; install that version to open "
                  "it"};
    } catch (const DamagedSession& damage) {
        return {Stage::Session, Cause::Damaged,
            name + " cannot be used as a session: " + damage.what()
                + "; choose another file or restore a copy"};
    } catch (const std::exception& exception) {
        return {Stage::Session, Cause::Internal, name + " could not be used: " + exception.what()};
    }
}

} // namespace twinlamp::session::store
