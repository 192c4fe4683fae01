// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/session.h"

#include "core/base/contracts.h"

#include <algorithm>

namespace twinlamp::session {

namespace {

template<typename T, typename IdType> const T* findIn(const std::vector<T>& entries, IdType id)
{
    const auto found = std::ranges::find(entries, id, &T::id);
    return found == entries.end() ? nullptr : &*found;
}

} // namespace

const Rig* find(const Session& session, RigId id) { return findIn(session.rigs, id); }

const LinkSetting* find(const Session& session, SettingId id)
{
    return findIn(session.settings, id);
}

const Run* find(const Session& session, RunId id) { return findIn(session.runs, id); }

const Clip* find(const Session& session, ClipId id) { return findIn(session.clips, id); }

const RigCheck* find(const Session& session, RigCheckId id)
{
    return findIn(session.rigChecks, id);
}

const Rig* findRig(const Session& session, std::string_view name)
{
    const auto found = std::ranges::find(session.rigs, name, &Rig::name);
    return found == session.rigs.end() ? nullptr : &*found;
}

const LinkSetting* findSetting(const Session& session, std::string_view name)
{
    const auto found = std::ranges::find(session.settings, name, &LinkSetting::name);
    return found == session.settings.end() ? nullptr : &*found;
}

const Run* findRun(const Session& session, SettingId setting, std::string_view name)
{
    const auto found = std::ranges::find_if(
        session.runs, [&](const Run& run) { return run.setting == setting && run.name == name; });
    return found == session.runs.end() ? nullptr : &*found;
}

const Clip* findClip(const Session& session, std::string_view sha256)
{
    const auto found = std::ranges::find_if(session.clips,
        [&](const Clip& clip) { return !sha256.empty() && clip.file.sha256 == sha256; });
    return found == session.clips.end() ? nullptr : &*found;
}

std::vector<const Run*> runsOf(const Session& session, SettingId setting)
{
    std::vector<const Run*> runs;
    for (const Run& run : session.runs) {
        if (run.setting == setting) {
            runs.push_back(&run);
        }
    }
    return runs;
}

std::vector<const Clip*> clipsOf(const Session& session, RunId run)
{
    std::vector<const Clip*> clips;
    for (const Clip& clip : session.clips) {
        if (clip.run == run) {
            clips.push_back(&clip);
        }
    }
    return clips;
}

std::vector<const Clip*> clipsOf(const Session& session, SettingId setting)
{
    std::vector<const Clip*> clips;
    for (const Run* run : runsOf(session, setting)) {
        const std::vector<const Clip*> ofRun = clipsOf(session, run->id);
        clips.insert(clips.end(), ofRun.begin(), ofRun.end());
    }
    return clips;
}

std::vector<const RigCheck*> checksOf(const Session& session, RigId rig)
{
    std::vector<const RigCheck*> checks;
    for (const RigCheck& check : session.rigChecks) {
        if (check.rig == rig) {
            checks.push_back(&check);
        }
    }
    return checks;
}

const RigCheck* newestCheck(const Session& session, RigId rig, CheckKind kind)
{
    const RigCheck* newest = nullptr;
    for (const RigCheck* check : checksOf(session, rig)) {
        // ISO dates sort as text; the list is in the order of filing.
        if (check->result.kind() == kind && (newest == nullptr || check->date >= newest->date)) {
            newest = check;
        }
    }
    return newest;
}

SettingId settingOf(const Session& session, const Clip& clip)
{
    const Run* run = find(session, clip.run);
    TL_EXPECTS(run != nullptr);
    return run->setting;
}

} // namespace twinlamp::session
