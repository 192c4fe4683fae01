// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/store/merge_file.h"
#include "core/session/store/session_file.h"
#include "ui/edits/session_command.h"

#include <QObject>
#include <QTimer>
#include <QUndoStack>

#include <filesystem>
#include <memory>
#include <optional>

namespace twinlamp::ui {

/// The session that the window has open, its file and its undo history. Every change goes through
/// `push`, is in the file when push returns, and can be undone.
class SessionDocument : public QObject
{
    Q_OBJECT

public:
    explicit SessionDocument(QObject* parent = nullptr);
    ~SessionDocument() override;

    /// Takes over an opened file; the history starts empty. A session that another window or
    /// command writes is followed: what changes there shows here within about a second.
    void take(session::store::SessionFile file);
    void close();

    [[nodiscard]] bool isOpen() const { return m_file.has_value(); }

    [[nodiscard]] bool isReadOnly() const;
    [[nodiscard]] std::filesystem::path path() const; ///< empty when nothing is open
    [[nodiscard]] const session::Session& session() const; ///< an empty one when nothing is open

    [[nodiscard]] QUndoStack* history() { return &m_history; }

    /// Makes the change; an empty edit is no step. On an error nothing changed and `failed` tells.
    bool push(Result<session::Edit> edit, Joining joining = Joining::No);

    /// Files a measurement under its clip, traces included. It is no step of its own but belongs to
    /// the last one that touched the clip: a result follows from what was asked for.
    bool fileMeasurement(
        session::ClipId clip, ClipResult result, const measure::MeasureOptions& options);
    /// Puts the measurement of every frame in the place of one that left frames out, in the session
    /// and in every step of the history, undone ones included: nobody acted, so no step is made,
    /// ended or changed in what it does.
    bool fillIn(session::ClipId clip, ClipResult result, const measure::MeasureOptions& options);
    /// Traces of a measured clip; null where there are none or they cannot be read.
    [[nodiscard]] std::shared_ptr<const ClipTraces> traces(const session::Clip& clip) const;
    [[nodiscard]] Result<void> copyTo(
        const std::filesystem::path& target, const session::store::CopyOptions& options = {}) const;

    /// Brings in what a merge of another session found, as one step of the history; on an error
    /// nothing changed.
    /// @error  as session::store::finishMerge
    [[nodiscard]] Result<session::store::MergeReport> bringIn(
        const session::store::SessionFile& other, session::Merge merge);

    /// Every acknowledged change since the session was made, oldest first; empty where none is
    /// open.
    [[nodiscard]] Result<std::vector<session::HistoryEntry>> changesSoFar() const;

Q_SIGNALS:
    void changed();
    /// Another session is open now, or none.
    void replaced();
    void failed(const QString& sentence);

private:
    friend class SessionCommand;
    bool applyNow(const session::Edit& edit);
    bool revertNow(const session::Edit& edit);
    bool told(const Result<void>& outcome);
    void follow();
    [[nodiscard]] SessionCommand* stepAt(int step);
    /// Steps of the history in [first, last) that touch the clip: the last of them, or null.
    [[nodiscard]] SessionCommand* lastStepOf(session::ClipId clip, int first, int last);

    std::optional<session::store::SessionFile> m_file;
    QUndoStack m_history;
    QTimer m_following; ///< runs while the session is read-only
};

} // namespace twinlamp::ui
