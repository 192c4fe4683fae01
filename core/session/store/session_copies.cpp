// SPDX-License-Identifier: GPL-3.0-or-later
// What goes from one session file to another.
#include "core/session/clip_files.h"
#include "core/session/store/clip_rows.h"
#include "core/session/store/history_rows.h"
#include "core/session/store/impersonal_copy.h"
#include "core/session/store/session_state.h"
#include "core/session/store/trace_blobs.h"

#include <system_error>

namespace twinlamp::session::store {

namespace {

/// Makes the relative paths of the clips in a copied session start at its new folder.
void rebasePaths(
    const fs::path& copy, const Session& session, const fs::path& from, const fs::path& to)
{
    const DatabasePtr database = connect(copy, Access::Write);
    SQLite::Transaction transaction(*database);
    for (const Clip& clip : session.clips) {
        Clip moved = clip;
        moved.file = rebased(clip.file, from, to);
        write(*database, moved, clip);
    }
    transaction.commit();
}

void dropTraces(const fs::path& copy)
{
    const DatabasePtr database = connect(copy, Access::Write);
    {
        SQLite::Transaction transaction(*database);
        database->exec("UPDATE measurements SET traces_id = NULL;"
                       "DELETE FROM traces;"
                       "UPDATE presses SET reference_model_frame = NULL, reference_model = NULL,"
                       " goggle_model_frame = NULL, goggle_model = NULL");
        transaction.commit();
    }
    database->exec("VACUUM");
}

/// One at a time: those of a whole campaign need not fit into memory.
Result<void> copyTraces(
    SQLite::Database& database, const SessionFile& from, const std::vector<TracesId>& ids)
{
    for (const TracesId id : ids) {
        const Result<std::shared_ptr<const ClipTraces>> traces = from.traces(id);
        if (!traces) {
            return tl::unexpected<Error>(traces.error());
        }
        insertTraces(database, id, **traces);
    }
    return {};
}

} // namespace

Result<void> SessionFile::copyTo(const fs::path& target, const CopyOptions& options) const
{
    const fs::path whole = wholePath(target);
    // Nobody may have the target open for writing: its journal would no longer fit the new file.
    const Result<FileLock> lock = FileLock::take(whole);
    if (!lock) {
        return tl::unexpected<Error>(lock.error());
    }
    std::error_code ignored;
    if (!options.replace && fs::exists(whole, ignored)) {
        return fail(Stage::Session, Cause::InvalidValue,
            whole.string() + " exists already; choose another name, or remove it first");
    }
    const fs::path beside = whole.string() + ".part";
    fs::remove(beside, ignored);
    Result<void> copied = m_state->withReader([&](SQLite::Database& database) {
        SQLite::Statement vacuum(database, "VACUUM INTO ?");
        vacuum.bind(1, beside.string());
        vacuum.exec();
    });
    if (copied) {
        copied = guarded(whole, [&] {
            if (!options.withTraces) {
                dropTraces(beside);
            }
            if (options.withPersons) {
                rebasePaths(beside, m_state->session, m_state->path, whole);
            } else {
                dropPersons(beside, m_state->session, m_state->path.parent_path());
            }
            fs::rename(beside, whole);
        });
    }
    fs::remove(beside, ignored);
    return copied;
}

Result<int> SessionFile::bringIn(const SessionFile& other, const Merge& merge)
{
    if (auto error = m_state->notWritable()) {
        return tl::unexpected<Error>(std::move(*error));
    }
    Result<Session> after = applied(m_state->session, merge.edit);
    const Result<std::vector<HistoryEntry>> history = other.history();
    if (!after || !history) {
        return tl::unexpected<Error>(after ? history.error() : after.error());
    }
    HistoryEntry entry = historyEntry(merge.edit, m_state->session, *after, false);
    for (const MergeConflict& conflict : merge.conflicts) {
        entry.changes.push_back(conflict.notTaken);
    }
    int brought = 0;
    Result<void> copied;
    const Result<void> committed = guarded(m_state->path, [&] {
        SQLite::Transaction transaction(*m_state->database, SQLite::TransactionBehavior::IMMEDIATE);
        copied = copyTraces(*m_state->database, other, merge.traces);
        if (!copied) {
            return; // and the transaction with it
        }
        for (const HistoryEntry& each : *history) {
            brought += insertHistory(*m_state->database, each) ? 1 : 0;
        }
        if (!merge.edit.isEmpty()) {
            writeEdit(*m_state->database, merge.edit, entry);
        }
        transaction.commit();
    });
    if (!committed || !copied) {
        return tl::unexpected<Error>(committed ? copied.error() : committed.error());
    }
    m_state->session = std::move(*after);
    m_state->revision += merge.edit.isEmpty() ? 0 : 1;
    return brought;
}

} // namespace twinlamp::session::store
