// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit_parts.h"
#include "core/session/effective.h"
#include "core/session/rig_values.h"

#include <filesystem>

namespace twinlamp::session {

namespace {

using namespace parts;

std::string nameOf(const Clip& clip)
{
    const std::string& path
        = clip.file.relativePath.empty() ? clip.file.absolutePath : clip.file.relativePath;
    return std::filesystem::path(path).filename().string();
}

std::string keyFor(const char* what, ClipId id)
{
    return std::string(what) + "/" + std::to_string(id.value);
}

} // namespace

Result<Edit> addClip(const Session& session, Clip clip)
{
    const Run* run = find(session, clip.run);
    if (run == nullptr) {
        return noSuchEntry("run");
    }
    if (!clip.id || find(session, clip.id) != nullptr) {
        return invalid("the new clip " + nameOf(clip) + " has no id of its own");
    }
    if (const Clip* same = findClip(session, clip.file.sha256)) {
        const LinkSetting* setting = find(session, settingOf(session, *same));
        return invalid(nameOf(clip) + " is in this session already, filed under \""
            + (setting != nullptr ? setting->name : std::string())
            + "\"; move it there or remove it first");
    }
    clip.place = lastPlace(session.clips);
    Sentence label {"edit-add-clip", {nameOf(clip)}};
    return Edit {std::move(label), {EntryChange<Clip> {std::nullopt, std::move(clip)}}, {}};
}

Result<Edit> removeClip(const Session& session, ClipId id)
{
    const Clip* clip = find(session, id);
    if (clip == nullptr) {
        return noSuchEntry("clip");
    }
    return Edit {
        {"edit-remove-clip", {nameOf(*clip)}}, {EntryChange<Clip> {*clip, std::nullopt}}, {}};
}

Result<Edit> moveClip(const Session& session, ClipId id, RunId to)
{
    const Clip* before = find(session, id);
    const Run* run = find(session, to);
    if (before == nullptr || run == nullptr) {
        return noSuchEntry(before == nullptr ? "clip" : "run");
    }
    Clip after = *before;
    after.run = to;
    const LinkSetting* setting = find(session, run->setting);
    return changeEntry(*before, std::move(after),
        {"edit-move-clip",
            {nameOf(*before), setting != nullptr ? setting->name : std::string(), run->name}});
}

Result<Edit> changeClipNotes(const Session& session, ClipId id, std::string notes)
{
    const Clip* before = find(session, id);
    if (before == nullptr) {
        return noSuchEntry("clip");
    }
    Clip after = *before;
    after.notes = std::move(notes);
    return changeEntry(*before, std::move(after), {"edit-change-clip-notes", {nameOf(*before)}});
}

Result<Edit> changeClipFile(const Session& session, ClipId id, ClipFile file)
{
    const Clip* before = find(session, id);
    if (before == nullptr) {
        return noSuchEntry("clip");
    }
    Clip after = *before;
    after.file = std::move(file);
    return changeEntry(*before, std::move(after), {"edit-change-clip-file", {nameOf(*before)}});
}

Result<Edit> assignRig(const Session& session, ClipId id, RigId rig)
{
    const Clip* before = find(session, id);
    if (before == nullptr) {
        return noSuchEntry("clip");
    }
    if (rig && find(session, rig) == nullptr) {
        return noSuchEntry("rig");
    }
    Clip after = *before;
    after.rig = rig;
    return changeEntry(*before, std::move(after), {"edit-assign-rig", {nameOf(*before)}});
}

Result<Edit> assignRig(const Session& session, const std::vector<ClipId>& ids, RigId rig)
{
    Edit edit {{"edit-assign-rig-clips", {}}, {}, {}};
    for (const ClipId id : ids) {
        Result<Edit> one = assignRig(session, id, rig);
        if (!one) {
            return one;
        }
        if (!one->isEmpty()) {
            edit.label.values = one->label.values;
            edit.changes.push_back(one->changes.front());
        }
    }
    if (edit.changes.empty()) {
        return Edit {};
    }
    if (edit.changes.size() == 1) {
        edit.label.id = "edit-assign-rig";
    } else {
        edit.label.values = {std::to_string(edit.changes.size())};
    }
    return edit;
}

Result<Edit> changeOptions(const Session& session, ClipId id, measure::MeasureOptions options)
{
    const Clip* before = find(session, id);
    if (before == nullptr) {
        return noSuchEntry("clip");
    }
    Clip after = *before;
    after.options = std::move(options);
    after.options.threads = 0; // says how fast, not what
    return changeEntry(*before, std::move(after), {"edit-change-options", {nameOf(*before)}},
        keyFor("options", id));
}

Result<Edit> setMeasurement(
    const Session& session, ClipId id, SharedValue<ClipMeasurement> measurement)
{
    const Clip* before = find(session, id);
    if (before == nullptr) {
        return noSuchEntry("clip");
    }
    if (!measurement) {
        return invalid("there is no measurement to file for " + nameOf(*before));
    }
    Clip after = *before;
    after.options = withoutRig(measurement->options);
    after.corrections = carriedCorrections(*before, *measurement).corrections;
    after.readouts = carriedReadouts(*before, *measurement);
    if (!measurement->clip.sha256.empty()) {
        after.file.sha256 = measurement->clip.sha256;
    }
    after.measurement = std::move(measurement);
    return changeEntry(*before, std::move(after), {"edit-measure-clip", {nameOf(*before)}});
}

Clip filledIn(Clip clip, const SharedValue<ClipMeasurement>& full)
{
    clip.corrections = carriedCorrections(clip, *full).corrections;
    clip.readouts = carriedReadouts(clip, *full);
    clip.measurement = full;
    return clip;
}

Result<Edit> fillInMeasurement(
    const Session& session, ClipId id, const SharedValue<ClipMeasurement>& full)
{
    const Clip* before = find(session, id);
    if (before == nullptr) {
        return noSuchEntry("clip");
    }
    if (!before->measurement || before->measurement->scan.mode == ScanMode::Full) {
        return invalid("every frame of " + nameOf(*before) + " is read already");
    }
    return changeEntry(*before, filledIn(*before, full), {"edit-fill-in-clip", {nameOf(*before)}});
}

} // namespace twinlamp::session
