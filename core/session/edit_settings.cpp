// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit_parts.h"
#include "core/session/entry_fields.h"

#include <algorithm>

namespace twinlamp::session {

namespace {

using namespace parts;

/// Nothing where the name may be used by entry `id` of a list, else why not.
template<typename T, typename InList>
std::optional<Error> nameProblem(
    const std::vector<T>& list, const T& entry, const char* kind, InList inSameList)
{
    if (entry.name.empty()) {
        return invalid(std::string("a ") + kind + " needs a name; type one").value();
    }
    const bool used = std::ranges::any_of(list, [&](const T& other) {
        return other.id != entry.id && other.name == entry.name && inSameList(other);
    });
    if (used) {
        return invalid(std::string("there is a ") + kind + " named \"" + entry.name
            + "\" already; choose another name")
            .value();
    }
    return std::nullopt;
}

std::optional<Error> problemOf(const Session& session, const Rig& rig)
{
    if (rig.shortestHold
        && (rig.shortestHold->ns <= 0 || *rig.shortestHold > longestShortestHold)) {
        return invalid("a shortest hold is above 0 ms and at most "
            + shortestText(toMs(longestShortestHold)) + " ms, not "
            + shortestText(toMs(*rig.shortestHold))
            + " ms; type the shortest time between two switchings, or nothing")
            .value();
    }
    return nameProblem(session.rigs, rig, "rig", [](const Rig&) { return true; });
}

std::optional<Error> problemOf(const Session& session, const LinkSetting& setting)
{
    return nameProblem(
        session.settings, setting, "link setting", [](const LinkSetting&) { return true; });
}

std::optional<Error> problemOf(const Session& session, const Run& run)
{
    return nameProblem(
        session.runs, run, "run", [&](const Run& other) { return other.setting == run.setting; });
}

template<typename T> Result<Edit> addEntry(const Session& session, T entry, Sentence label)
{
    if (auto problem = problemOf(session, entry)) {
        return tl::unexpected<Error>(std::move(*problem));
    }
    if (!entry.id || find(session, entry.id) != nullptr) {
        return invalid("the new entry \"" + entry.name + "\" has no id of its own");
    }
    return Edit {std::move(label), {EntryChange<T> {std::nullopt, std::move(entry)}}, {}};
}

template<typename T>
Result<Edit> checkedChange(const Session& session, const T& before, T after, Sentence label)
{
    if (auto problem = problemOf(session, after)) {
        return tl::unexpected<Error>(std::move(*problem));
    }
    return changeEntry(before, std::move(after), std::move(label));
}

void removeRunInto(Edit& edit, const Session& session, const Run& run)
{
    for (const Clip* clip : clipsOf(session, run.id)) {
        edit.changes.emplace_back(EntryChange<Clip> {*clip, std::nullopt});
    }
    edit.changes.emplace_back(EntryChange<Run> {run, std::nullopt});
}

/// New places for all settings in the given order, as changes of those that move.
void numberAnew(Edit& edit, const std::vector<const LinkSetting*>& order)
{
    std::int64_t place = 0;
    for (const LinkSetting* setting : order) {
        LinkSetting after = *setting;
        after.place = place;
        place += placeStep;
        if (after != *setting) {
            edit.changes.emplace_back(EntryChange<LinkSetting> {*setting, std::move(after)});
        }
    }
}

} // namespace

Edit changeInfo(const Session& session, SessionInfo after)
{
    SessionInfo before = infoOf(session);
    if (before == after) {
        return {};
    }
    return {{"edit-change-session", {}}, {InfoChange {std::move(before), std::move(after)}}, {}};
}

Result<Edit> addRig(const Session& session, Rig rig)
{
    rig.place = lastPlace(session.rigs);
    Sentence label {"edit-add-rig", {rig.name}};
    return addEntry(session, std::move(rig), std::move(label));
}

Result<Edit> changeRig(const Session& session, Rig after)
{
    const Rig* before = find(session, after.id);
    if (before == nullptr) {
        return noSuchEntry("rig");
    }
    Sentence label {"edit-change-rig", {before->name}};
    return checkedChange(session, *before, std::move(after), std::move(label));
}

Result<Edit> removeRig(const Session& session, RigId id)
{
    const Rig* rig = find(session, id);
    if (rig == nullptr) {
        return noSuchEntry("rig");
    }
    Edit edit {{"edit-remove-rig", {rig->name}}, {}, {}};
    for (const Clip& clip : session.clips) {
        if (clip.rig == id) {
            Clip after = clip;
            after.rig = {};
            edit.changes.emplace_back(EntryChange<Clip> {clip, std::move(after)});
        }
    }
    for (const RigCheck* check : checksOf(session, id)) {
        edit.changes.emplace_back(EntryChange<RigCheck> {*check, std::nullopt});
    }
    edit.changes.emplace_back(EntryChange<Rig> {*rig, std::nullopt});
    return edit;
}

Result<Edit> addSetting(
    const Session& session, SettingId id, std::string name, Conditions conditions)
{
    Sentence label {"edit-add-setting", {name}};
    return addEntry(session,
        LinkSetting {id, lastPlace(session.settings), std::move(name), std::move(conditions)},
        std::move(label));
}

Result<Edit> renameSetting(const Session& session, SettingId id, std::string name)
{
    const LinkSetting* before = find(session, id);
    if (before == nullptr) {
        return noSuchEntry("link setting");
    }
    LinkSetting after = *before;
    Sentence label {"edit-rename-setting", {before->name, name}};
    after.name = std::move(name);
    return checkedChange(session, *before, std::move(after), std::move(label));
}

Result<Edit> changeConditions(const Session& session, SettingId id, Conditions conditions)
{
    const LinkSetting* before = find(session, id);
    if (before == nullptr) {
        return noSuchEntry("link setting");
    }
    LinkSetting after = *before;
    after.conditions = std::move(conditions);
    return changeEntry(*before, std::move(after), {"edit-change-conditions", {before->name}});
}

Result<Edit> removeSetting(const Session& session, SettingId id)
{
    const LinkSetting* setting = find(session, id);
    if (setting == nullptr) {
        return noSuchEntry("link setting");
    }
    Edit edit {{"edit-remove-setting", {setting->name}}, {}, {}};
    for (const Run* run : runsOf(session, id)) {
        removeRunInto(edit, session, *run);
    }
    edit.changes.emplace_back(EntryChange<LinkSetting> {*setting, std::nullopt});
    return edit;
}

Result<Edit> reorderSetting(const Session& session, SettingId id, SettingId before)
{
    const LinkSetting* moved = find(session, id);
    if (moved == nullptr || (before && find(session, before) == nullptr)) {
        return noSuchEntry("link setting");
    }
    std::vector<const LinkSetting*> order;
    for (const LinkSetting& setting : session.settings) {
        if (setting.id == id) {
            continue;
        }
        if (setting.id == before) {
            order.push_back(moved);
        }
        order.push_back(&setting);
    }
    if (!before) {
        order.push_back(moved);
    }
    if (before == id
        || std::ranges::equal(order, session.settings, {}, &LinkSetting::id, &LinkSetting::id)) {
        return Edit {};
    }
    Edit edit {{"edit-move-setting", {moved->name}}, {}, {}};
    numberAnew(edit, order);
    return edit;
}

Result<Edit> addRun(const Session& session, RunId id, SettingId setting, std::string name)
{
    const LinkSetting* parent = find(session, setting);
    if (parent == nullptr) {
        return noSuchEntry("link setting");
    }
    Sentence label {"edit-add-run", {name, parent->name}};
    return addEntry(
        session, Run {id, lastPlace(session.runs), setting, std::move(name), {}}, std::move(label));
}

Result<Edit> renameRun(const Session& session, RunId id, std::string name)
{
    const Run* before = find(session, id);
    if (before == nullptr) {
        return noSuchEntry("run");
    }
    Run after = *before;
    Sentence label {"edit-rename-run", {before->name, name}};
    after.name = std::move(name);
    return checkedChange(session, *before, std::move(after), std::move(label));
}

Result<Edit> changeRunNotes(const Session& session, RunId id, std::string notes)
{
    const Run* before = find(session, id);
    if (before == nullptr) {
        return noSuchEntry("run");
    }
    Run after = *before;
    after.notes = std::move(notes);
    return changeEntry(*before, std::move(after), {"edit-change-run-notes", {before->name}});
}

Result<Edit> removeRun(const Session& session, RunId id)
{
    const Run* run = find(session, id);
    if (run == nullptr) {
        return noSuchEntry("run");
    }
    Edit edit {{"edit-remove-run", {run->name}}, {}, {}};
    removeRunInto(edit, session, *run);
    return edit;
}

Result<Edit> moveRun(const Session& session, RunId id, SettingId to)
{
    const Run* before = find(session, id);
    const LinkSetting* target = find(session, to);
    if (before == nullptr || target == nullptr) {
        return noSuchEntry(before == nullptr ? "run" : "link setting");
    }
    Run after = *before;
    after.setting = to;
    return checkedChange(
        session, *before, std::move(after), {"edit-move-run", {before->name, target->name}});
}

} // namespace twinlamp::session
