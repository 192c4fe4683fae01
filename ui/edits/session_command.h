// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit.h"

#include <QElapsedTimer>
#include <QUndoCommand>

namespace twinlamp::ui {

class SessionDocument;

/// Whether a change may join the step before it in the undo history.
enum class Joining
{
    No,
    /// A follow-up of the same gesture: equal merge keys, shortly after each other.
    SameGesture
};

/// Whether the session holds a step's change already when the step is pushed.
enum class Applied
{
    WhenPushed,
    Already
};

/// Any change of a session as one step of the undo history.
class SessionCommand : public QUndoCommand
{
public:
    SessionCommand(SessionDocument& document, session::Edit edit, Joining joining,
        Applied applied = Applied::WhenPushed);

    void undo() override;
    void redo() override;
    [[nodiscard]] int id() const override;
    bool mergeWith(const QUndoCommand* other) override;

    [[nodiscard]] const session::Edit& edit() const { return m_edit; }

    /// Takes in what a job found out for this step (the measurement of a clip just added or of a
    /// region just moved), after it was applied: one step back undoes both.
    /// @pre no later step changed the entries that `found` changes
    void absorb(const session::Edit& found);

    /// Puts the measurement of every frame in the place of one that left frames out, wherever the
    /// step holds it: the step then leads to and from clips that are filled in.
    void fillIn(session::ClipId clip,
        const session::SharedValue<session::ClipMeasurement>& withGaps,
        const session::SharedValue<session::ClipMeasurement>& full);

private:
    SessionDocument& m_document;
    session::Edit m_edit;
    Joining m_joining;
    bool m_isApplied = false; ///< the next redo is the push itself, and nothing is left to do
    QElapsedTimer m_age; ///< since the last gesture that joined
};

/// Whether an edit adds, changes or removes the clip.
[[nodiscard]] bool touches(const session::Edit& edit, session::ClipId clip);

} // namespace twinlamp::ui
