// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/sentence.h"
#include "core/session/edit.h"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace twinlamp::session {

/// One value that an edit changed, in words that a reader understands without the session.
struct FieldChange
{
    std::string kind; ///< "link-setting", "rig", "run", "clip", "rig-check", "session"
    std::string entry; ///< its name: "narrow", "run 1 of narrow", "hangar.mp4"
    std::string field; ///< "bit_rate_mbit", "press 3 first-light"
    std::optional<std::string> from; ///< empty: there was nothing
    std::optional<std::string> to; ///< empty: there is nothing any more
    bool operator==(const FieldChange&) const = default;
};

/// One acknowledged change of a session.
struct HistoryEntry
{
    std::int64_t id = 0; ///< drawn at random: merged sessions keep each entry once
    std::string at; ///< UTC, "2026-05-17T09:30:00.125Z"; sorts as text
    std::string who; ///< the account that made it
    std::string programVersion;
    Sentence label; ///< what was done: english(label)
    bool takenBack = false; ///< the step was undone
    std::vector<FieldChange> changes;
    bool operator==(const HistoryEntry&) const = default;
};

/// What the edit changes, value by value; values that it leaves alone are left out. What was
/// measured stands as one line a clip, not as every figure.
///
/// @param before, after  the session without and with the edit: names come from them
[[nodiscard]] std::vector<FieldChange> fieldChanges(
    const Edit& edit, const Session& before, const Session& after);

/// An entry for an edit that is made now, by whoever runs this program.
[[nodiscard]] HistoryEntry historyEntry(
    const Edit& edit, const Session& before, const Session& after, bool takenBack);

} // namespace twinlamp::session
