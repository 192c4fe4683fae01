// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/edits/session_command.h"

#include "ui/edits/session_document.h"

#include <algorithm>
#include <utility>

namespace twinlamp::ui {

namespace {

constexpr int commandId = 1;
constexpr qint64 gestureMs = 1500; ///< nudges further apart than this are steps of their own

} // namespace

bool touches(const session::Edit& edit, session::ClipId clip)
{
    return std::ranges::any_of(edit.changes, [&](const session::Change& change) {
        const auto* entry = std::get_if<session::EntryChange<session::Clip>>(&change);
        return entry != nullptr
            && ((entry->before && entry->before->id == clip)
                || (entry->after && entry->after->id == clip));
    });
}

SessionCommand::SessionCommand(
    SessionDocument& document, session::Edit edit, Joining joining, Applied applied)
    : QUndoCommand(QString::fromStdString(english(edit.label)))
    , m_document(document)
    , m_edit(std::move(edit))
    , m_joining(joining)
    , m_isApplied(applied == Applied::Already)
{
    m_age.start();
}

void SessionCommand::undo()
{
    if (!m_document.revertNow(m_edit)) {
        setObsolete(true);
    }
}

void SessionCommand::redo()
{
    if (std::exchange(m_isApplied, false)) {
        return;
    }
    if (!m_document.applyNow(m_edit)) {
        setObsolete(true);
    }
}

void SessionCommand::absorb(const session::Edit& found)
{
    m_edit = session::composed(m_edit, found);
}

void SessionCommand::fillIn(session::ClipId clip,
    const session::SharedValue<session::ClipMeasurement>& withGaps,
    const session::SharedValue<session::ClipMeasurement>& full)
{
    const auto fill = [&](std::optional<session::Clip>& entry) {
        if (entry && entry->id == clip && entry->measurement.sharesWith(withGaps)) {
            entry = session::filledIn(std::move(*entry), full);
        }
    };
    for (session::Change& change : m_edit.changes) {
        if (auto* entry = std::get_if<session::EntryChange<session::Clip>>(&change)) {
            fill(entry->before);
            fill(entry->after);
        }
    }
}

int SessionCommand::id() const { return commandId; }

bool SessionCommand::mergeWith(const QUndoCommand* other)
{
    const auto* next = dynamic_cast<const SessionCommand*>(other);
    if (next == nullptr) {
        return false;
    }
    if (next->m_joining == Joining::SameGesture && m_joining == Joining::SameGesture
        && m_age.elapsed() < gestureMs) {
        if (auto both = session::merged(m_edit, next->m_edit)) {
            m_edit = std::move(*both);
            m_age.restart();
            return true;
        }
    }
    return false;
}

} // namespace twinlamp::ui
