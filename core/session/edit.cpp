// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit.h"

#include <algorithm>

namespace twinlamp::session {

namespace {

std::vector<Rig>& listOf(Session& session, const Rig* /*kind*/) { return session.rigs; }

std::vector<LinkSetting>& listOf(Session& session, const LinkSetting* /*kind*/)
{
    return session.settings;
}

std::vector<Run>& listOf(Session& session, const Run* /*kind*/) { return session.runs; }

std::vector<Clip>& listOf(Session& session, const Clip* /*kind*/) { return session.clips; }

std::vector<RigCheck>& listOf(Session& session, const RigCheck* /*kind*/)
{
    return session.rigChecks;
}

template<typename T> bool isBefore(const T& a, const T& b)
{
    return a.place != b.place ? a.place < b.place : a.id < b.id;
}

/// Writes a change into a session; false where the session is not as the change expects it.
struct Writer
{
    Session& session;

    bool operator()(const InfoChange& change) const
    {
        if (infoOf(session) != change.before) {
            return false;
        }
        session.name = change.after.name;
        session.notes = change.after.notes;
        session.lateLimit = change.after.lateLimit;
        return true;
    }

    template<typename T> bool operator()(const EntryChange<T>& change) const
    {
        std::vector<T>& list = listOf(session, static_cast<const T*>(nullptr));
        const auto id = change.before ? change.before->id : change.after->id;
        const auto found = std::ranges::find(list, id, &T::id);
        const bool there = found != list.end();
        if (there != change.before.has_value() || (there && *found != *change.before)) {
            return false;
        }
        if (there && change.after && change.after->place == found->place) {
            *found = *change.after;
            return true;
        }
        if (there) {
            list.erase(found);
        }
        if (change.after) {
            list.insert(std::ranges::upper_bound(list, *change.after, isBefore<T>), *change.after);
        }
        return true;
    }
};

struct Inverter
{
    Change operator()(const InfoChange& change) const
    {
        return InfoChange {change.after, change.before};
    }

    template<typename T> Change operator()(const EntryChange<T>& change) const
    {
        return EntryChange<T> {change.after, change.before};
    }
};

template<typename T> auto idOf(const EntryChange<T>& change)
{
    return change.before ? change.before->id : change.after->id;
}

/// Takes a later change into an earlier one of the same entry; false where they touch different
/// ones.
struct Absorber
{
    Change& earlier;

    bool operator()(const InfoChange& later) const
    {
        auto* change = std::get_if<InfoChange>(&earlier);
        if (change == nullptr) {
            return false;
        }
        change->after = later.after;
        return true;
    }

    template<typename T> bool operator()(const EntryChange<T>& later) const
    {
        auto* change = std::get_if<EntryChange<T>>(&earlier);
        if (change == nullptr || idOf(*change) != idOf(later)) {
            return false;
        }
        change->after = later.after;
        return true;
    }
};

struct SaysNothing
{
    bool operator()(const InfoChange& change) const { return change.before == change.after; }

    template<typename T> bool operator()(const EntryChange<T>& change) const
    {
        return change.before == change.after;
    }
};

/// Joins `later` to the change of the same entry, if there is one.
bool absorb(std::vector<Change>& changes, const Change& later)
{
    return std::ranges::any_of(
        changes, [&later](Change& earlier) { return std::visit(Absorber {earlier}, later); });
}

} // namespace

SessionInfo infoOf(const Session& session)
{
    return {session.name, session.notes, session.lateLimit};
}

Result<Session> applied(Session session, const Edit& edit)
{
    for (const Change& change : edit.changes) {
        if (!std::visit(Writer {session}, change)) {
            return fail(Stage::Session, Cause::InvalidValue,
                "the session has changed since this step was made (" + english(edit.label)
                    + "); take the step again");
        }
    }
    return session;
}

Result<Session> reverted(Session session, const Edit& edit)
{
    return applied(std::move(session), inverse(edit));
}

Edit inverse(const Edit& edit)
{
    Edit back {edit.label, {}, edit.mergeKey};
    back.changes.reserve(edit.changes.size());
    std::ranges::for_each(edit.changes.rbegin(), edit.changes.rend(),
        [&back](const Change& change) { back.changes.push_back(std::visit(Inverter {}, change)); });
    return back;
}

Edit composed(const Edit& first, const Edit& second)
{
    Edit both = first;
    for (const Change& later : second.changes) {
        if (!absorb(both.changes, later)) {
            both.changes.push_back(later);
        }
    }
    std::erase_if(
        both.changes, [](const Change& change) { return std::visit(SaysNothing {}, change); });
    return both;
}

std::optional<Edit> merged(const Edit& first, const Edit& second)
{
    if (first.mergeKey.empty() || first.mergeKey != second.mergeKey) {
        return std::nullopt;
    }
    return composed(first, second);
}

} // namespace twinlamp::session
