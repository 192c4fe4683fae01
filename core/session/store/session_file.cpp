// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/session_file.h"

#include "core/base/contracts.h"
#include "core/session/store/check_rows.h"
#include "core/session/store/clip_rows.h"
#include "core/session/store/entry_rows.h"
#include "core/session/store/history_rows.h"
#include "core/session/store/session_state.h"
#include "core/session/store/trace_blobs.h"

#include <spdlog/spdlog.h>
#include <system_error>

namespace twinlamp::session::store {

namespace {

Session loadSession(SQLite::Database& database)
{
    // One transaction: a writer may commit between two of these reads.
    SQLite::Transaction snapshot(database);
    Session session;
    loadInfo(database, session);
    session.rigs = loadRigs(database);
    session.settings = loadSettings(database);
    session.runs = loadRuns(database);
    session.clips = loadClips(database);
    session.rigChecks = loadRigChecks(database);
    snapshot.commit();
    return session;
}

struct RowWriter
{
    SQLite::Database& database;

    void operator()(const InfoChange& change) const { updateInfo(database, change.after); }

    void operator()(const EntryChange<Clip>& change) const
    {
        if (change.after) {
            write(database, *change.after, change.before);
        } else if (change.before) {
            remove(database, change.before->id);
        }
    }

    template<typename T> void operator()(const EntryChange<T>& change) const
    {
        if (change.after) {
            write(database, *change.after);
        } else if (change.before) {
            remove(database, change.before->id);
        }
    }
};

std::optional<Error> notReadable(const fs::path& file)
{
    std::error_code failed;
    const fs::file_status status = fs::status(file, failed);
    if (status.type() == fs::file_type::not_found) {
        return Error {Stage::Session, Cause::NotFound,
            "there is no session " + file.string() + "; check the name"};
    }
    if (failed || status.type() != fs::file_type::regular) {
        return Error {Stage::Session, Cause::Damaged,
            file.string() + " is not a session file; choose another"};
    }
    return std::nullopt;
}

/// A file that its owner protected is opened read-only, even where its folder may be written.
bool mayWrite(const fs::path& file)
{
    std::error_code failed;
    const auto permissions = fs::status(file, failed).permissions();
    constexpr auto anyWrite
        = fs::perms::owner_write | fs::perms::group_write | fs::perms::others_write;
    return !failed && (permissions & anyWrite) != fs::perms::none;
}

} // namespace

void writeEdit(SQLite::Database& database, const Edit& edit, const HistoryEntry& entry)
{
    for (const Change& change : edit.changes) {
        std::visit(RowWriter {database}, change);
    }
    insertHistory(database, entry);
    countRevision(database);
}

fs::path wholePath(const fs::path& file)
{
    std::error_code failed;
    fs::path whole = fs::weakly_canonical(fs::absolute(file, failed), failed);
    return failed ? file : whole;
}

Result<void> SessionFile::State::change(const Edit& edit, bool takesBack)
{
    if (edit.isEmpty()) {
        return {};
    }
    if (auto error = notWritable()) {
        return tl::unexpected<Error>(std::move(*error));
    }
    Result<Session> after = applied(session, edit);
    if (!after) {
        return tl::unexpected<Error>(after.error());
    }
    Result<void> committed = guarded(path, [&] {
        const HistoryEntry entry = historyEntry(edit, session, *after, takesBack);
        SQLite::Transaction transaction(*database, SQLite::TransactionBehavior::IMMEDIATE);
        writeEdit(*database, edit, entry);
        transaction.commit();
    });
    if (committed) {
        session = std::move(*after);
        ++revision;
    }
    return committed;
}

SessionFile::SessionFile(std::unique_ptr<State> state)
    : m_state(std::move(state))
{
}

SessionFile::SessionFile(SessionFile&&) noexcept = default;

SessionFile& SessionFile::operator=(SessionFile&& other) noexcept
{
    if (this != &other) {
        // The old session is closed as a destructor would, not merely dropped.
        const SessionFile old(std::move(m_state));
        m_state = std::move(other.m_state);
    }
    return *this;
}

SessionFile::~SessionFile()
{
    if (m_state != nullptr) {
        if (const Result<void> closed = close(); !closed) {
            spdlog::warn("{}", closed.error().detail);
        }
    }
}

Result<SessionFile> SessionFile::create(const fs::path& file, std::string name)
{
    const fs::path whole = wholePath(file);
    Result<FileLock> lock = FileLock::take(whole);
    if (!lock) {
        return tl::unexpected<Error>(lock.error());
    }
    std::error_code ignored;
    if (fs::exists(whole, ignored)) {
        return fail(Stage::Session, Cause::InvalidValue,
            whole.string() + " exists already; open it, or choose another name");
    }
    auto state = std::make_unique<State>();
    state->path = whole;
    state->session.name = std::move(name);
    // Made beside and renamed: a crash leaves no file that is not yet a session.
    const fs::path beside = whole.string() + ".part";
    fs::remove(beside, ignored);
    const Result<void> made = guarded(whole, [&] {
        {
            const DatabasePtr fresh = connect(beside, Access::Create);
            createTables(*fresh);
            insertInfo(*fresh, infoOf(state->session));
        }
        fs::rename(beside, whole);
        state->database = connect(whole, Access::Write);
        startWriteAheadLog(*state->database);
    });
    if (!made) {
        fs::remove(beside, ignored);
        return tl::unexpected<Error>(made.error());
    }
    state->lock = std::move(*lock);
    return SessionFile(std::move(state));
}

Result<SessionFile> SessionFile::open(const fs::path& file, const OpenOptions& options)
{
    auto state = std::make_unique<State>();
    state->path = wholePath(file);
    if (auto error = notReadable(state->path)) {
        return tl::unexpected<Error>(std::move(*error));
    }
    bool write = options.mode != OpenMode::ReadOnly;
    if (options.mode == OpenMode::WriteOrReadOnly && !mayWrite(state->path)) {
        write = false;
    }
    if (write) {
        Result<FileLock> lock = FileLock::take(state->path, options.wait, options.stop);
        if (lock) {
            state->lock = std::move(*lock);
        } else if (options.mode == OpenMode::Write) {
            return tl::unexpected<Error>(lock.error());
        }
    }
    state->readOnly = !state->lock.has_value();
    const auto load = [&](SQLite::Database& database) {
        state->session = loadSession(database);
        state->revision = revisionOf(database);
    };
    const Result<void> loaded = state->readOnly ? state->withReader(load) : guarded(file, [&] {
        DatabasePtr database = connect(state->path, Access::Write);
        migrate(*database);
        startWriteAheadLog(*database);
        load(*database);
        state->database = std::move(database);
    });
    if (!loaded) {
        return tl::unexpected<Error>(loaded.error());
    }
    return SessionFile(std::move(state));
}

Result<void> SessionFile::close()
{
    if (m_state->database == nullptr) {
        return {};
    }
    Result<void> tidied = guarded(m_state->path, [&] { tidyUp(*m_state->database); });
    m_state->database.reset();
    m_state->lock.reset();
    m_state->readOnly = true;
    return tidied;
}

const fs::path& SessionFile::path() const { return m_state->path; }

bool SessionFile::isReadOnly() const { return m_state->readOnly; }

const Session& SessionFile::session() const { return m_state->session; }

Result<void> SessionFile::apply(const Edit& edit) { return m_state->change(edit, false); }

Result<void> SessionFile::revert(const Edit& edit) { return m_state->change(inverse(edit), true); }

Result<SharedValue<ClipMeasurement>> SessionFile::keep(
    ClipResult result, const measure::MeasureOptions& options)
{
    if (auto error = m_state->notWritable()) {
        return tl::unexpected<Error>(std::move(*error));
    }
    ClipMeasurement measurement {options, std::move(result.clip), result.regions, result.scan,
        std::move(result.presses), std::move(result.panelTiming), std::move(result.notes), {}};
    measurement.options.threads = 0; // says how fast, not what
    if (result.traces.frameCount() > 0) {
        const auto traces = std::make_shared<const ClipTraces>(std::move(result.traces));
        const Result<TracesId> kept
            = guarded(m_state->path, [&] { return insertTraces(*m_state->database, *traces); });
        if (!kept) {
            return tl::unexpected<Error>(kept.error());
        }
        measurement.traces = *kept;
        m_state->tracesInUse[kept->value] = traces;
    }
    return SharedValue<ClipMeasurement>(std::move(measurement));
}

Result<std::shared_ptr<const ClipTraces>> SessionFile::traces(TracesId id) const
{
    if (!id) {
        return std::shared_ptr<const ClipTraces> {};
    }
    if (auto inUse = m_state->tracesInUse[id.value].lock()) {
        return inUse;
    }
    Result<std::optional<ClipTraces>> loaded = m_state->withReader(
        [id](SQLite::Database& database) { return loadTraces(database, id); });
    if (!loaded) {
        return tl::unexpected<Error>(loaded.error());
    }
    if (!*loaded) {
        return fail(Stage::Session, Cause::NotFound,
            m_state->path.string() + " no longer holds the traces of this clip; measure it again");
    }
    auto traces = std::make_shared<const ClipTraces>(std::move(**loaded));
    m_state->tracesInUse[id.value] = traces;
    return traces;
}

Result<std::vector<HistoryEntry>> SessionFile::history() const
{
    return m_state->withReader([](SQLite::Database& database) { return loadHistory(database); });
}

Result<bool> SessionFile::refresh()
{
    if (m_state->database != nullptr) {
        return false; // nobody else writes
    }
    return m_state->withReader([this](SQLite::Database& database) {
        const std::int64_t revision = revisionOf(database);
        if (revision == m_state->revision) {
            return false;
        }
        m_state->session = loadSession(database);
        m_state->revision = revision;
        return true;
    });
}

} // namespace twinlamp::session::store
