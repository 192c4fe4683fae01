// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/store/session_file.h"

#include <vector>

namespace twinlamp::session::store {

/// What a merge did.
struct MergeReport
{
    MergeCounts counts;
    int historyEntries = 0; ///< of the other session, that came in
    bool changed = false; ///< false: the other session holds nothing that is not here
    std::vector<Sentence> notes;
    std::vector<MergeConflict> conflicts;
    Edit edit; ///< what was applied here: reverting it takes the merge back
};

/// Brings all of another session into this one (core/session/merge.h says how), its traces and its
/// history too, in one transaction. The other file is only read, also while a window has it open.
///
/// @error Session/InvalidValue  a session into itself
/// @error Session/NoAccess      this one is open read-only
/// @error Session/WriteFailed   disk full and the like: this one is as it was
[[nodiscard]] Result<MergeReport> mergeFile(
    SessionFile& here, const SessionFile& there, Prefer prefer = Prefer::Here);

/// The second half of `mergeFile`, for one who worked out `mergeOf` on another thread.
/// @error  as `mergeFile`; Session/InvalidValue also where this session changed since
[[nodiscard]] Result<MergeReport> finishMerge(
    SessionFile& here, const SessionFile& there, Merge merge);

} // namespace twinlamp::session::store
