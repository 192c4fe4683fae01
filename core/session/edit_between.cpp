// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/merge.h"

#include <unordered_map>

namespace twinlamp::session {

namespace {

template<typename T>
void addChanges(
    std::vector<Change>& changes, const std::vector<T>& before, const std::vector<T>& after)
{
    std::unordered_map<std::int64_t, const T*> left;
    for (const T& entry : before) {
        left.emplace(entry.id.value, &entry);
    }
    for (const T& entry : after) {
        const auto old = left.find(entry.id.value);
        if (old == left.end()) {
            changes.emplace_back(EntryChange<T> {std::nullopt, entry});
            continue;
        }
        if (*old->second != entry) {
            changes.emplace_back(EntryChange<T> {*old->second, entry});
        }
        left.erase(old);
    }
    for (const T& entry : before) {
        if (left.contains(entry.id.value)) {
            changes.emplace_back(EntryChange<T> {entry, std::nullopt});
        }
    }
}

} // namespace

Edit editBetween(const Session& before, const Session& after, Sentence label)
{
    Edit edit {std::move(label), {}, {}};
    if (infoOf(before) != infoOf(after)) {
        edit.changes.emplace_back(InfoChange {infoOf(before), infoOf(after)});
    }
    addChanges(edit.changes, before.rigs, after.rigs);
    addChanges(edit.changes, before.settings, after.settings);
    addChanges(edit.changes, before.runs, after.runs);
    addChanges(edit.changes, before.clips, after.clips);
    addChanges(edit.changes, before.rigChecks, after.rigChecks);
    return edit.changes.empty() ? Edit {} : edit;
}

} // namespace twinlamp::session
