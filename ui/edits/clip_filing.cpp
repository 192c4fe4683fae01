// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/edits/clip_filing.h"

#include "core/session/clip_files.h"
#include "core/session/edit_chain.h"
#include "core/session/rig_values.h"

#include <system_error>

namespace twinlamp::ui {

namespace {

template<typename Taken> std::string freeName(const std::string& stem, const Taken& isTaken)
{
    for (int number = 1;; ++number) {
        std::string name = stem + " " + std::to_string(number);
        if (!isTaken(name)) {
            return name;
        }
    }
}

session::Clip clipFor(
    const std::filesystem::path& file, const std::filesystem::path& sessionFile, session::RunId run)
{
    std::error_code unknown;
    const auto size = std::filesystem::file_size(file, unknown);
    session::Clip clip;
    clip.id = session::newId<session::ClipId>();
    clip.run = run;
    clip.file = session::clipFileFor(
        file, sessionFile, {}, unknown ? 0 : static_cast<std::int64_t>(size));
    return clip;
}

/// Clips come in as they were filmed: with the camera of the last one, or the only one there is.
session::RigId rigForNewClips(const session::Session& session)
{
    if (!session.clips.empty()) {
        return session.clips.back().rig;
    }
    return session.rigs.size() == 1 ? session.rigs.front().id : session::RigId {};
}

} // namespace

std::string freeSettingName(const session::Session& session, const std::string& stem)
{
    return freeName(stem,
        [&](const std::string& name) { return session::findSetting(session, name) != nullptr; });
}

std::string freeRunName(
    const session::Session& session, session::SettingId setting, const std::string& stem)
{
    return freeName(stem, [&](const std::string& name) {
        return session::findRun(session, setting, name) != nullptr;
    });
}

Result<Filing> filingOf(const session::Session& session, const std::filesystem::path& sessionFile,
    std::span<const std::filesystem::path> clips, const FilingTarget& target)
{
    session::EditChain chain(session);
    Filing filing;
    filing.setting = target.setting;
    if (!filing.setting) {
        filing.setting = session::newId<session::SettingId>();
        if (auto added = chain.add(session::addSetting(chain.session(), filing.setting,
                target.newSettingName.empty() ? freeSettingName(session, "link setting")
                                              : target.newSettingName));
            !added) {
            return tl::unexpected(added.error());
        }
    }
    session::RunId run = target.run;
    for (const std::filesystem::path& file : clips) {
        if (!run || (!target.run && target.runEach)) {
            run = session::newId<session::RunId>();
            if (auto added = chain.add(session::addRun(chain.session(), run, filing.setting,
                    freeRunName(chain.session(), filing.setting, "run")));
                !added) {
                return tl::unexpected(added.error());
            }
        }
        session::Clip clip = clipFor(file, sessionFile, run);
        clip.rig = rigForNewClips(session);
        filing.clips.push_back(clip.id);
        if (auto added = chain.add(session::addClip(chain.session(), clip)); !added) {
            return tl::unexpected(added.error());
        }
    }
    filing.edit = chain.edit();
    if (!clips.empty()) {
        filing.edit.label = clips.size() == 1
            ? Sentence {"edit-add-clip", {clips.front().filename().string()}}
            : Sentence {"edit-add-clips", {std::to_string(clips.size())}};
    }
    return filing;
}

std::vector<session::ClipId> clipsOutOfDate(const session::Session& session)
{
    std::vector<session::ClipId> clips;
    for (const session::Clip& clip : session.clips) {
        if (!clip.measurement || session::isOutOfDate(session, clip)) {
            clips.push_back(clip.id);
        }
    }
    return clips;
}

} // namespace twinlamp::ui
