// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/sentence.h"
#include "core/session/edit.h"
#include "core/session/history.h"

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace twinlamp::session {

/// Which of two values stands where both sessions tell one and they differ.
enum class Prefer : std::uint8_t
{
    Here,
    There
};

struct MergeOptions
{
    Prefer prefer = Prefer::Here;
    std::filesystem::path hereFile; ///< of both sessions: paths of clips are made to start at here
    std::filesystem::path thereFile;
};

/// Two values that could not both stand.
struct MergeConflict
{
    Sentence sentence; ///< says which one stands
    FieldChange notTaken; ///< for the history: from what fell to what stands
    bool operator==(const MergeConflict&) const = default;
};

/// Entries that came in anew.
struct MergeCounts
{
    int settings = 0;
    int runs = 0;
    int clips = 0;
    int rigs = 0;
    int rigChecks = 0;
    int clipsInBoth = 0; ///< not brought in: here already, by their content
    bool operator==(const MergeCounts&) const = default;
};

struct Merge
{
    Edit edit; ///< empty where nothing is new
    std::vector<TracesId> traces; ///< of the other session's file, that the edit refers to
    std::vector<MergeConflict> conflicts;
    std::vector<Sentence> notes; ///< what was taken for the same by its name alone
    MergeCounts counts;
    int outOfDate = 0; ///< clips here that checks brought in have put out of date
};

/// What brings another session into this one, nothing lost and nothing doubled.
///
/// Entries are the same where they have the same id (copies of one session went apart) and
/// - rigs and settings also where they have one name and contradict each other nowhere: what one
///   leaves open the other fills in; where they contradict each other, both are kept, the one that
///   comes in under another name ("narrow (2)");
/// - clips where they have the same content (SHA-256); of one that is not hashed yet, the same file
///   name and size;
/// - runs where they share a clip in the same setting: two runs of one name are two power-ups
///   otherwise, and the one that comes in gets another name.
///
/// Of a clip in both, the measurement, and each correction and readout by hand on its own, come in
/// where there is none here; corrections go to the same press by edge and onset. Where both tell
/// something else, `prefer` says what stands, and a conflict names both. Notes are joined. What was
/// removed here and is still there comes back.
/// Tests: tests/core/session/merge_test.cpp
[[nodiscard]] Merge mergeOf(const Session& here, const Session& there, const MergeOptions& options);

/// The edit that leads from one session to another.
[[nodiscard]] Edit editBetween(const Session& before, const Session& after, Sentence label);

} // namespace twinlamp::session
