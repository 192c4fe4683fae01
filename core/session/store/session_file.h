// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/session/edit.h"
#include "core/session/history.h"
#include "core/session/merge.h"
#include "core/session/session.h"

#include <chrono>
#include <filesystem>
#include <memory>
#include <stop_token>

namespace twinlamp::session::store {

enum class OpenMode : std::uint8_t
{
    Write, ///< one at a time
    ReadOnly,
    WriteOrReadOnly ///< read-only where another has it open for writing, or the file is protected
};

struct OpenOptions
{
    OpenMode mode = OpenMode::WriteOrReadOnly;
    /// How long `Write` waits for another writer to leave.
    std::chrono::milliseconds wait {0};
    /// Ends the waiting early (error Busy).
    std::stop_token stop;
};

struct CopyOptions
{
    /// Without them a session is small; every figure stays, but no press can be drawn any more.
    /// Leaves out the fitted models too.
    bool withTraces = true;
    bool replace = true; ///< over a file that is there
    /// Without them the history names no account, and no folder outside the session's own is told:
    /// for a session that is published (impersonal_copy.h).
    bool withPersons = true;
};

/// A session in its `.twinlamp` file. Every edit is committed before `apply` returns: a crash loses
/// nothing that was acknowledged. While it is open the database's journal and a lock file stand
/// beside the file; closed, a session is one file.
///
/// One thread at a time. Errors name the file and say what to do; nothing throws.
class SessionFile
{
public:
    /// A new, empty session, open for writing.
    /// @error Session/InvalidValue  the file exists already
    /// @error Session/NoAccess, WriteFailed, Busy
    [[nodiscard]] static Result<SessionFile> create(
        const std::filesystem::path& file, std::string name);
    /// @error Session/NotFound, NoAccess, Damaged (no session, or a broken one)
    /// @error Session/NewerVersion  written by a newer version of this program
    /// @error Session/Busy          open for writing elsewhere, with mode Write
    [[nodiscard]] static Result<SessionFile> open(
        const std::filesystem::path& file, const OpenOptions& options = {});

    SessionFile(SessionFile&&) noexcept;
    SessionFile& operator=(SessionFile&&) noexcept;
    /// Closes; a failure to tidy up is logged.
    ~SessionFile();

    /// Folds the journal into the file and gives the lock back. The session stays readable.
    Result<void> close();

    [[nodiscard]] const std::filesystem::path& path() const;
    [[nodiscard]] bool isReadOnly() const;
    [[nodiscard]] const Session& session() const;

    /// Changes the session and commits the change in one transaction; on an error neither changed.
    /// @error Session/NoAccess      open read-only
    /// @error Session/InvalidValue  the session is not in the state that the edit was made for
    /// @error Session/WriteFailed   disk full and the like
    Result<void> apply(const Edit& edit);
    Result<void> revert(const Edit& edit);

    /// Keeps a measurement's traces in the file and returns the rest as a value for
    /// setMeasurement or Clip::measurement. Traces that no clip uses when the session is closed are
    /// dropped.
    /// @error Session/NoAccess, WriteFailed
    [[nodiscard]] Result<SharedValue<ClipMeasurement>> keep(
        ClipResult result, const measure::MeasureOptions& options);
    /// Null traces for id 0. Kept in memory as long as someone holds them.
    /// @error Session/NotFound, Damaged
    [[nodiscard]] Result<std::shared_ptr<const ClipTraces>> traces(TracesId id) const;

    /// Every change since the session was made (in a file of an older program: since it was first
    /// opened by one that keeps a history), with those of the sessions merged into it.
    [[nodiscard]] Result<std::vector<HistoryEntry>> history() const;

    /// Reads again what another process wrote; true when the session changed. For read-only
    /// openers.
    [[nodiscard]] Result<bool> refresh();

    /// Writes the session as it is to another file in one piece (written aside and renamed);
    /// relative paths of clips are made to start at the new folder.
    /// @error Session/WriteFailed, NoAccess
    /// @error Session/InvalidValue  the target exists, and may not be replaced
    /// @error Session/Busy          the target is open for writing
    [[nodiscard]] Result<void> copyTo(
        const std::filesystem::path& target, const CopyOptions& options = {}) const;

    /// Brings in what a merge of another session found (merge_file.h), in one transaction: the
    /// edit, its traces from the other file, what it did not take over as part of the history, and
    /// the other session's history.
    /// @return How many entries of that history are new here.
    /// @error  as `apply`; those of reading the other file
    [[nodiscard]] Result<int> bringIn(const SessionFile& other, const Merge& merge);

private:
    struct State;
    explicit SessionFile(std::unique_ptr<State> state);
    std::unique_ptr<State> m_state;
};

} // namespace twinlamp::session::store
