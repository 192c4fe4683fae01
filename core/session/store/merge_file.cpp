// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/merge_file.h"

#include <algorithm>

namespace twinlamp::session::store {

namespace {

/// Whether a change is of something that was here already.
struct FillsIn
{
    bool operator()(const InfoChange& /*change*/) const { return true; }

    template<typename T> bool operator()(const EntryChange<T>& change) const
    {
        return change.before && change.after;
    }
};

std::vector<Sentence> notesOf(const Merge& merge, const std::string& other, int historyEntries)
{
    std::vector<Sentence> notes;
    const MergeCounts& counts = merge.counts;
    if (merge.edit.isEmpty() && historyEntries == 0) {
        notes.push_back({"merge-nothing-new", {other}});
    } else {
        notes.push_back({"merge-brought-in",
            {other, std::to_string(counts.settings), std::to_string(counts.runs),
                std::to_string(counts.clips), std::to_string(counts.rigs),
                std::to_string(counts.rigChecks), std::to_string(historyEntries)}});
    }
    const auto filled = std::ranges::count_if(
        merge.edit.changes, [](const Change& change) { return std::visit(FillsIn {}, change); });
    if (filled > 0) {
        notes.push_back({"merge-filled-in", {std::to_string(filled)}});
    }
    if (counts.clipsInBoth > 0) {
        notes.push_back({"merge-clips-in-both", {std::to_string(counts.clipsInBoth)}});
    }
    notes.insert(notes.end(), merge.notes.begin(), merge.notes.end());
    if (merge.outOfDate > 0) {
        notes.push_back({"merge-out-of-date", {std::to_string(merge.outOfDate)}});
    }
    return notes;
}

} // namespace

Result<MergeReport> mergeFile(SessionFile& here, const SessionFile& there, Prefer prefer)
{
    if (here.path() == there.path()) {
        return fail(Stage::Session, Cause::InvalidValue,
            here.path().string() + " cannot be merged with itself; name another session");
    }
    return finishMerge(
        here, there, mergeOf(here.session(), there.session(), {prefer, here.path(), there.path()}));
}

Result<MergeReport> finishMerge(SessionFile& here, const SessionFile& there, Merge merge)
{
    return here.bringIn(there, merge).map([&](int historyEntries) {
        return MergeReport {merge.counts, historyEntries,
            !merge.edit.isEmpty() || historyEntries > 0,
            notesOf(merge, there.path().filename().string(), historyEntries),
            std::move(merge.conflicts), std::move(merge.edit)};
    });
}

} // namespace twinlamp::session::store
