// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit.h"

#include <QElapsedTimer>
#include <QUndoCommand>

namespace twinlamp::ui {

class SessionDocument;

/// What may join the step before it in the undo history.
enum class Joining
{
    No,
    /// A follow-up of the same gesture: equal merge keys, shortly after each other.
    SameGesture,
    /// What a job found out for the step before it (the measurement of a clip just added or of a
    /// region just moved): one step back undoes both.
    FollowsFromStep
};

/// Any change of a session as one step of the undo history.
class SessionCommand : public QUndoCommand
{
public:
    SessionCommand(SessionDocument& document, session::Edit edit, Joining joining);

    void undo() override;
    void redo() override;
    [[nodiscard]] int id() const override;
    bool mergeWith(const QUndoCommand* other) override;

    [[nodiscard]] const session::Edit& edit() const { return m_edit; }

private:
    SessionDocument& m_document;
    session::Edit m_edit;
    Joining m_joining;
    QElapsedTimer m_age; ///< since the last gesture that joined
};

/// Whether both touch the same clip.
[[nodiscard]] bool shareAClip(const session::Edit& a, const session::Edit& b);

} // namespace twinlamp::ui
