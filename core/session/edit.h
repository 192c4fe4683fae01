// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/base/sentence.h"
#include "core/session/session.h"

#include <string>
#include <variant>
#include <vector>

namespace twinlamp::session {

/// What a session says about itself, apart from its lists.
struct SessionInfo
{
    std::string name;
    std::string notes;
    std::optional<Latency> lateLimit;
    bool operator==(const SessionInfo&) const = default;
};

[[nodiscard]] SessionInfo infoOf(const Session& session);

/// One entry before and after: no `before` adds it, no `after` removes it.
template<typename T> struct EntryChange
{
    std::optional<T> before;
    std::optional<T> after;
    bool operator==(const EntryChange&) const = default;
};

struct InfoChange
{
    SessionInfo before;
    SessionInfo after;
    bool operator==(const InfoChange&) const = default;
};

using Change = std::variant<InfoChange, EntryChange<Rig>, EntryChange<LinkSetting>,
    EntryChange<Run>, EntryChange<Clip>, EntryChange<RigCheck>>;

/// One step that can be undone: a value holding before and after. Made by the functions below.
struct Edit
{
    Sentence label; ///< what it does, for menus and the history: english(label)
    std::vector<Change> changes; ///< in the order in which they are applied
    /// Edits of equal, non-empty key follow each other as one step (drags of one mark).
    std::string mergeKey;
    bool operator==(const Edit&) const = default;

    [[nodiscard]] bool isEmpty() const { return changes.empty(); }
};

/// The session after the edit, or before it again.
/// @error Session/InvalidValue  the session is not in the state that the edit was made for
[[nodiscard]] Result<Session> applied(Session session, const Edit& edit);
[[nodiscard]] Result<Session> reverted(Session session, const Edit& edit);

/// Swaps before and after: reverting is applying the inverse.
[[nodiscard]] Edit inverse(const Edit& edit);

/// Both as one step with the label of the first; entries touched twice keep the first `before` and
/// the last `after`.
[[nodiscard]] Edit composed(const Edit& first, const Edit& second);

/// `composed` where both carry the same merge key; nothing otherwise.
[[nodiscard]] std::optional<Edit> merged(const Edit& first, const Edit& second);

// Every function below makes the edit for the session as it is and changes nothing itself. An edit
// that would change nothing comes back empty.
// @error Session/NotFound      no entry with that id
// @error Session/InvalidValue  an empty name, or one that is in use; a rig's shortest hold out of
//                              its bounds; the detail says which

[[nodiscard]] Edit changeInfo(const Session& session, SessionInfo after);

[[nodiscard]] Result<Edit> addRig(const Session& session, Rig rig);
[[nodiscard]] Result<Edit> changeRig(const Session& session, Rig after);
/// With its checks; clips that named the rig then name none.
[[nodiscard]] Result<Edit> removeRig(const Session& session, RigId id);

/// `check.id`, `check.rig` and `check.date` are the caller's; the place is set here.
/// @error Session/InvalidValue  the date is no day written YYYY-MM-DD
[[nodiscard]] Result<Edit> addRigCheck(const Session& session, RigCheck check);
[[nodiscard]] Result<Edit> removeRigCheck(const Session& session, RigCheckId id);

/// The new entry's id is `id`; draw it with newId<SettingId>().
[[nodiscard]] Result<Edit> addSetting(
    const Session& session, SettingId id, std::string name, Conditions conditions = {});
[[nodiscard]] Result<Edit> renameSetting(const Session& session, SettingId id, std::string name);
[[nodiscard]] Result<Edit> changeConditions(
    const Session& session, SettingId id, Conditions conditions);
/// With its runs and clips.
[[nodiscard]] Result<Edit> removeSetting(const Session& session, SettingId id);
/// To the place before `before`, or last where that is 0.
[[nodiscard]] Result<Edit> reorderSetting(const Session& session, SettingId id, SettingId before);

[[nodiscard]] Result<Edit> addRun(
    const Session& session, RunId id, SettingId setting, std::string name);
[[nodiscard]] Result<Edit> renameRun(const Session& session, RunId id, std::string name);
[[nodiscard]] Result<Edit> changeRunNotes(const Session& session, RunId id, std::string notes);
/// With its clips.
[[nodiscard]] Result<Edit> removeRun(const Session& session, RunId id);
[[nodiscard]] Result<Edit> moveRun(const Session& session, RunId id, SettingId to);

/// `clip.id` and `clip.run` are the caller's; the place is set here.
[[nodiscard]] Result<Edit> addClip(const Session& session, Clip clip);
[[nodiscard]] Result<Edit> removeClip(const Session& session, ClipId id);
[[nodiscard]] Result<Edit> moveClip(const Session& session, ClipId id, RunId to);
[[nodiscard]] Result<Edit> changeClipNotes(const Session& session, ClipId id, std::string notes);
[[nodiscard]] Result<Edit> changeClipFile(const Session& session, ClipId id, ClipFile file);
[[nodiscard]] Result<Edit> assignRig(const Session& session, ClipId id, RigId rig);
/// The same for several clips as one step.
[[nodiscard]] Result<Edit> assignRig(
    const Session& session, const std::vector<ClipId>& ids, RigId rig);
/// Regions, capture rate, exposure: what the next measurement is to use. Same merge key per clip,
/// so that nudging a region step by step is one step back.
[[nodiscard]] Result<Edit> changeOptions(
    const Session& session, ClipId id, measure::MeasureOptions options);
/// Takes over the measurement's own options, but for what came from the rig, and carries
/// corrections over (effective.h).
[[nodiscard]] Result<Edit> setMeasurement(
    const Session& session, ClipId id, SharedValue<ClipMeasurement> measurement);

/// The clip with every frame read in place of a measurement that left frames out; corrections are
/// carried over, what is asked for stays.
[[nodiscard]] Clip filledIn(Clip clip, const SharedValue<ClipMeasurement>& full);
/// The same as an edit. @error Session/InvalidValue  the clip's measurement leaves no frames out
[[nodiscard]] Result<Edit> fillInMeasurement(
    const Session& session, ClipId id, const SharedValue<ClipMeasurement>& full);

/// Address of one press in a session.
struct PressAddress
{
    ClipId clip;
    int press = 0; ///< Press::index
    bool operator==(const PressAddress&) const = default;
};

/// Puts a mark to another time; equal merge keys for one mark.
/// @error Session/InvalidValue  outside the clip's time, or marks out of order (onset after
/// settled)
[[nodiscard]] Result<Edit> moveMark(
    const Session& session, PressAddress at, Mark mark, RealTime time);
/// Back to the measured place.
[[nodiscard]] Result<Edit> resetMark(const Session& session, PressAddress at, Mark mark);
[[nodiscard]] Result<Edit> setAsidePress(
    const Session& session, PressAddress at, std::string reason);
[[nodiscard]] Result<Edit> acceptPress(
    const Session& session, PressAddress at, std::string reason = {});
/// Back to the program's choice.
[[nodiscard]] Result<Edit> resetChoice(const Session& session, PressAddress at);

/// What the goggle displayed about itself at a press, ms; nothing takes it away.
/// @error Session/InvalidValue  not above 0, or not finite
[[nodiscard]] Result<Edit> setReadout(
    const Session& session, PressAddress at, std::optional<double> latencyMs);
/// All that was noted for a setting as a whole. @error as setReadout
[[nodiscard]] Result<Edit> changeReadouts(
    const Session& session, SettingId id, std::vector<SettingReadout> readouts);

} // namespace twinlamp::session
