// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/merge.h"

#include "core/session/merge_parts.h"
#include "core/session/rig_values.h"

#include <algorithm>
#include <sstream>

namespace twinlamp::session {

namespace merging {

namespace {

/// "link-setting" as people write it.
std::string wordsOf(std::string kind)
{
    std::ranges::replace(kind, '-', ' ');
    return kind;
}

std::vector<std::string> linesOf(const std::string& text)
{
    std::vector<std::string> lines;
    std::istringstream stream(text);
    for (std::string line; std::getline(stream, line);) {
        lines.push_back(line);
    }
    return lines;
}

} // namespace

bool takesThere(State& state, const Owner& owner, const NamedField& here, const std::string& there)
{
    const bool takes = state.options.prefer == Prefer::There;
    Sentence sentence {takes ? "merge-took-there" : "merge-kept-here",
        {wordsOf(owner.kind), owner.name, here.name, here.text, there}};
    state.merge.conflicts.push_back({std::move(sentence),
        {owner.kind, owner.name, here.name + " (not taken over)", takes ? here.text : there,
            takes ? there : here.text}});
    return takes;
}

std::string joined(const std::string& here, const std::string& there)
{
    const std::vector<std::string> linesHere = linesOf(here);
    std::string text = here;
    for (const std::string& line : linesOf(there)) {
        if (std::ranges::find(linesHere, line) == linesHere.end()) {
            text += (text.empty() ? "" : "\n") + line;
        }
    }
    return text;
}

} // namespace merging

namespace {

void mergeInfo(merging::State& state)
{
    Session& result = state.result;
    result.notes = merging::joined(result.notes, state.there.notes);
    const std::optional<Latency>& there = state.there.lateLimit;
    if (!there || there == result.lateLimit) {
        return;
    }
    if (!result.lateLimit
        || merging::takesThere(state, {"session", result.name},
            {"late_limit_ms", shortestText(toMs(*result.lateLimit))}, shortestText(toMs(*there)))) {
        result.lateLimit = there;
    }
}

int countOutOfDate(const Session& session)
{
    return static_cast<int>(std::ranges::count_if(
        session.clips, [&session](const Clip& clip) { return isOutOfDate(session, clip); }));
}

} // namespace

Merge mergeOf(const Session& here, const Session& there, const MergeOptions& options)
{
    merging::State state {here, there, options, here};
    mergeInfo(state);
    merging::pairClips(state);
    merging::mergeRigs(state);
    merging::mergeRigChecks(state);
    merging::mergeSettings(state);
    merging::mergeRuns(state);
    merging::mergeClips(state);
    state.merge.edit = editBetween(
        here, state.result, {"edit-merge-session", {options.thereFile.filename().string()}});
    // Clips that came in out of date were so before.
    state.merge.outOfDate
        = std::max(0, countOutOfDate(state.result) - countOutOfDate(here) - countOutOfDate(there));
    return std::move(state.merge);
}

} // namespace twinlamp::session
