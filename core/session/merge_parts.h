// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit_parts.h"
#include "core/session/entry_fields.h"
#include "core/session/merge.h"

#include <map>
#include <string>

/// What the files of a merge share. Not for its users.
namespace twinlamp::session::merging {

/// A merge under way: `result` is changed in place, the edit is made from it at the end.
struct State
{
    const Session& here;
    const Session& there;
    const MergeOptions& options;
    Session result;
    Merge merge {};
    // From ids there to ids in `result`.
    std::map<RigId, RigId> rigs {};
    std::map<SettingId, SettingId> settings {};
    std::map<RunId, RunId> runs {};
    std::map<ClipId, ClipId> clips {}; ///< those that are in both
};

/// What a value belongs to, in the words of a sentence and of the history.
struct Owner
{
    std::string kind; ///< as FieldChange::kind
    std::string name;
};

/// Notes two values of which one falls, and says whether it is the one here.
bool takesThere(State& state, const Owner& owner, const NamedField& here, const std::string& there);

/// Notes of both: the lines here, then those from there that are not here.
[[nodiscard]] std::string joined(const std::string& here, const std::string& there);

/// The id if `result` does not use it, else a new one.
template<typename IdType> IdType freeId(const Session& result, IdType id)
{
    return id && find(result, id) == nullptr ? id : newId<IdType>();
}

/// "name", or "name (2)", … : the first that is not used.
template<typename IsUsed> std::string freeName(const std::string& name, const IsUsed& isUsed)
{
    std::string free = name;
    for (int number = 2; isUsed(free); ++number) {
        free = name + " (" + std::to_string(number) + ")";
    }
    return free;
}

/// Finds the clips that are in both; before anything else.
void pairClips(State& state);
void mergeRigs(State& state);
void mergeRigChecks(State& state);
void mergeSettings(State& state);
void mergeRuns(State& state);
void mergeClips(State& state);
/// A clip that both hold.
void mergeClip(State& state, Clip& here, const Clip& there);

/// The clip of this session that is the same as one of the other; null without one.
[[nodiscard]] Clip* sameClip(State& state, const Clip& other);

} // namespace twinlamp::session::merging
