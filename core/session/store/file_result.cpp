// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/file_result.h"

#include "core/session/clip_files.h"
#include "core/session/edit_chain.h"

#include <algorithm>
#include <system_error>

namespace twinlamp::session::store {

namespace {

Result<SettingId> settingNamed(EditChain& chain, const std::string& name)
{
    if (const LinkSetting* setting = findSetting(chain.session(), name)) {
        return setting->id;
    }
    const auto id = newId<SettingId>();
    return chain.add(addSetting(chain.session(), id, name)).map([id] { return id; });
}

Result<RunId> runNamed(EditChain& chain, SettingId setting, const std::string& name)
{
    if (const Run* run = findRun(chain.session(), setting, name)) {
        return run->id;
    }
    const auto id = newId<RunId>();
    return chain.add(addRun(chain.session(), id, setting, name)).map([id] { return id; });
}

/// The run to file under, made in the chain where it is absent.
Result<RunId> runFor(EditChain& chain, const FilingPlace& place, const Clip* same)
{
    if (same != nullptr && place.run.empty()) {
        return same->run;
    }
    return settingNamed(chain, place.setting).and_then([&](SettingId setting) {
        return runNamed(chain, setting, place.run.empty() ? firstRunName : place.run);
    });
}

std::int64_t sizeOf(const std::filesystem::path& clip)
{
    std::error_code failed;
    const std::uintmax_t size = std::filesystem::file_size(clip, failed);
    return failed ? 0 : static_cast<std::int64_t>(size);
}

/// The entry of this footage: the same content, or the same file filed before anybody read it.
const Clip* entryOf(const Session& session, const ClipFile& file)
{
    if (const Clip* same = findClip(session, file.sha256)) {
        return same;
    }
    const auto unread = std::ranges::find_if(session.clips, [&](const Clip& clip) {
        return clip.file.sha256.empty() && clip.file.absolutePath == file.absolutePath;
    });
    return unread == session.clips.end() ? nullptr : &*unread;
}

Result<void> checkNotElsewhere(const Session& session, const Clip* same, const FilingPlace& place)
{
    const LinkSetting* setting
        = same == nullptr ? nullptr : find(session, settingOf(session, *same));
    if (setting == nullptr || setting->name == place.setting) {
        return {};
    }
    return fail(Stage::Session, Cause::InvalidValue,
        "the same clip is filed under \"" + setting->name + "\" already, not under \""
            + place.setting + "\"; name that setting, or move the clip in the window");
}

/// The entry at its place, new or moved there; not measured yet.
Result<void> placeEntry(EditChain& chain, const Clip& entry, bool isNew)
{
    if (isNew) {
        return chain.add(addClip(chain.session(), entry));
    }
    return chain.add(moveClip(chain.session(), entry.id, entry.run)).and_then([&] {
        return chain.add(changeClipFile(chain.session(), entry.id, entry.file));
    });
}

Result<void> nameRig(EditChain& chain, ClipId clip, const std::string& rig)
{
    if (rig.empty()) {
        return {};
    }
    return rigNamed(chain, rig).and_then([&](RigId id) {
        return chain.add(assignRig(chain.session(), clip, id));
    });
}

Edit labelled(Edit edit, const std::filesystem::path& clip, const Session& session, RunId run)
{
    const Run* filed = find(session, run);
    const LinkSetting* setting = filed == nullptr ? nullptr : find(session, filed->setting);
    edit.label = {"edit-file-result",
        {clip.filename().string(), setting == nullptr ? "" : setting->name,
            filed == nullptr ? "" : filed->name}};
    edit.mergeKey.clear();
    return edit;
}

} // namespace

Result<ClipId> fileResult(SessionFile& file, const FilingPlace& place,
    const std::filesystem::path& clip, ClipResult result, const measure::MeasureOptions& options)
{
    const ClipFile whereabouts = clipFileFor(clip, file.path(), result.clip.sha256, sizeOf(clip));
    const Clip* same = entryOf(file.session(), whereabouts);
    EditChain chain(file.session());
    const Result<RunId> run = checkNotElsewhere(file.session(), same, place).and_then([&] {
        return runFor(chain, place, same);
    });
    if (!run) {
        return tl::unexpected<Error>(run.error());
    }
    Clip entry;
    entry.id = same != nullptr ? same->id : newId<ClipId>();
    entry.run = *run;
    entry.file = whereabouts;
    return placeEntry(chain, entry, same == nullptr)
        .and_then([&] { return nameRig(chain, entry.id, place.rig); })
        .and_then([&] { return file.keep(std::move(result), options); })
        .and_then([&](const SharedValue<ClipMeasurement>& kept) {
            return chain.add(setMeasurement(chain.session(), entry.id, kept));
        })
        .and_then(
            [&] { return file.apply(labelled(chain.edit(), clip, chain.session(), entry.run)); })
        .map([&] { return entry.id; });
}

} // namespace twinlamp::session::store
