// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/file_result.h"

#include "core/session/clip_files.h"
#include "core/session/edit_chain.h"

#include <system_error>

namespace twinlamp::session::store {

namespace {

Result<SettingId> settingNamed(EditChain& chain, const std::string& name)
{
    if (const LinkSetting* setting = findSetting(chain.session(), name)) {
        return setting->id;
    }
    const auto id = newId<SettingId>();
    const Result<void> added = chain.add(addSetting(chain.session(), id, name));
    return added ? Result<SettingId>(id) : tl::unexpected<Error>(added.error());
}

Result<RunId> runNamed(EditChain& chain, SettingId setting, const std::string& name)
{
    if (const Run* run = findRun(chain.session(), setting, name)) {
        return run->id;
    }
    const auto id = newId<RunId>();
    const Result<void> added = chain.add(addRun(chain.session(), id, setting, name));
    return added ? Result<RunId>(id) : tl::unexpected<Error>(added.error());
}

std::int64_t sizeOf(const std::filesystem::path& clip)
{
    std::error_code failed;
    const std::uintmax_t size = std::filesystem::file_size(clip, failed);
    return failed ? 0 : static_cast<std::int64_t>(size);
}

std::optional<Error> filedElsewhere(
    const Session& session, const Clip& same, const FilingPlace& place)
{
    const LinkSetting* setting = find(session, settingOf(session, same));
    if (setting == nullptr || setting->name == place.setting) {
        return std::nullopt;
    }
    return Error {Stage::Session, Cause::InvalidValue,
        "the same clip is filed under \"" + setting->name + "\" already, not under \""
            + place.setting + "\"; name that setting, or move the clip in the window"};
}

} // namespace

Result<ClipId> fileResult(SessionFile& file, const FilingPlace& place,
    const std::filesystem::path& clip, ClipResult result, const measure::MeasureOptions& options)
{
    const std::string sha256 = result.clip.sha256;
    const Clip* same = findClip(file.session(), sha256);
    if (same != nullptr) {
        if (auto error = filedElsewhere(file.session(), *same, place)) {
            return tl::unexpected<Error>(std::move(*error));
        }
    }
    EditChain chain(file.session());
    const Result<SettingId> setting = settingNamed(chain, place.setting);
    if (!setting) {
        return tl::unexpected<Error>(setting.error());
    }
    Result<RunId> run = RunId {};
    if (same != nullptr && place.run.empty()) {
        run = same->run;
    } else {
        run = runNamed(chain, *setting, place.run.empty() ? firstRunName : place.run);
    }
    if (!run) {
        return tl::unexpected<Error>(run.error());
    }
    const Result<SharedValue<ClipMeasurement>> kept = file.keep(std::move(result), options);
    if (!kept) {
        return tl::unexpected<Error>(kept.error());
    }
    Clip entry;
    entry.id = same != nullptr ? same->id : newId<ClipId>();
    entry.run = *run;
    entry.file = clipFileFor(clip, file.path(), sha256, sizeOf(clip));
    Result<void> done = same != nullptr ? chain.add(moveClip(chain.session(), entry.id, *run))
                                        : chain.add(addClip(chain.session(), entry));
    if (done && same != nullptr) {
        done = chain.add(changeClipFile(chain.session(), entry.id, entry.file));
    }
    if (done) {
        done = chain.add(setMeasurement(chain.session(), entry.id, *kept));
    }
    if (done) {
        Edit edit = chain.edit();
        const Run* filed = find(chain.session(), *run);
        edit.label = {"edit-file-result",
            {clip.filename().string(), place.setting, filed != nullptr ? filed->name : ""}};
        edit.mergeKey.clear();
        done = file.apply(edit);
    }
    return done ? Result<ClipId>(entry.id) : tl::unexpected<Error>(done.error());
}

} // namespace twinlamp::session::store
