// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/edits/tree_edits.h"

#include "core/session/edit_chain.h"
#include "ui/edits/clip_filing.h"

namespace twinlamp::ui {

namespace {

session::RunId runFor(const session::Session& session, TreePlace place)
{
    if (place.kind == TreeKind::Run) {
        return {place.id};
    }
    if (place.kind == TreeKind::Clip) {
        const session::Clip* clip = session::find(session, session::ClipId {place.id});
        return clip != nullptr ? clip->run : session::RunId {};
    }
    const auto runs = session::runsOf(session, {place.id});
    return runs.empty() ? session::RunId {} : runs.back()->id;
}

/// Moves a run; where its name is taken there, it gets the next free one in the same step.
Result<session::Edit> movingRun(
    const session::Session& session, session::RunId id, session::SettingId to)
{
    const session::Run* run = session::find(session, id);
    const session::Run* sameName
        = run != nullptr ? session::findRun(session, to, run->name) : nullptr;
    if (sameName == nullptr || run->setting == to) {
        return session::moveRun(session, id, to);
    }
    std::string name = freeRunName(session, to, "run");
    if (session::findRun(session, run->setting, name) != nullptr) {
        name = freeRunName(session, to, run->name); // free here and there
    }
    session::EditChain chain(session);
    if (auto renamed = chain.add(session::renameRun(session, id, name)); !renamed) {
        return tl::unexpected(renamed.error());
    }
    const auto moved = session::moveRun(chain.session(), id, to);
    if (auto added = chain.add(moved); !added) {
        return tl::unexpected(added.error());
    }
    session::Edit edit = chain.edit();
    edit.label = moved->label;
    return edit;
}

} // namespace

session::SettingId settingOf(const session::Session& session, TreePlace place)
{
    if (place.kind == TreeKind::Setting) {
        const session::LinkSetting* setting = session::find(session, session::SettingId {place.id});
        return setting != nullptr ? setting->id : session::SettingId {};
    }
    const session::Run* run = session::find(session, runFor(session, place));
    return run != nullptr ? run->setting : session::SettingId {};
}

std::vector<session::ClipId> clipsUnder(const session::Session& session, TreePlace place)
{
    std::vector<session::ClipId> ids;
    const auto take = [&ids](const std::vector<const session::Clip*>& clips) {
        for (const session::Clip* clip : clips) {
            ids.push_back(clip->id);
        }
    };
    switch (place.kind) {
    case TreeKind::Setting:
        take(session::clipsOf(session, session::SettingId {place.id}));
        break;
    case TreeKind::Run:
        take(session::clipsOf(session, session::RunId {place.id}));
        break;
    case TreeKind::Clip:
        if (const session::Clip* clip = session::find(session, session::ClipId {place.id})) {
            ids.push_back(clip->id);
        }
        break;
    }
    return ids;
}

Result<session::Edit> renaming(
    const session::Session& session, TreePlace place, const std::string& name)
{
    switch (place.kind) {
    case TreeKind::Setting:
        return session::renameSetting(session, {place.id}, name);
    case TreeKind::Run:
        return session::renameRun(session, {place.id}, name);
    case TreeKind::Clip:
        break; // named after its file
    }
    return session::Edit {};
}

Result<session::Edit> removal(const session::Session& session, TreePlace place)
{
    switch (place.kind) {
    case TreeKind::Setting:
        return session::removeSetting(session, {place.id});
    case TreeKind::Run:
        return session::removeRun(session, {place.id});
    case TreeKind::Clip:
        return session::removeClip(session, {place.id});
    }
    return session::Edit {};
}

Result<session::Edit> removalOfClips(
    const session::Session& session, std::span<const session::ClipId> clips)
{
    session::EditChain chain(session);
    const auto add = [&](const Result<session::Edit>& step) { return chain.add(step); };
    for (const session::ClipId id : clips) {
        const session::Clip* clip = session::find(chain.session(), id);
        const session::RunId run = clip != nullptr ? clip->run : session::RunId {};
        if (auto removed = add(session::removeClip(chain.session(), id)); !removed) {
            return tl::unexpected(removed.error());
        }
        const session::Run* left = session::find(chain.session(), run);
        if (left == nullptr || !left->notes.empty()
            || !session::clipsOf(chain.session(), run).empty()) {
            continue;
        }
        const session::SettingId setting = left->setting;
        if (auto removed = add(session::removeRun(chain.session(), run)); !removed) {
            return tl::unexpected(removed.error());
        }
        const session::LinkSetting* of = session::find(chain.session(), setting);
        if (of != nullptr && of->conditions == session::Conditions {}
            && session::runsOf(chain.session(), setting).empty()) {
            if (auto removed = add(session::removeSetting(chain.session(), setting)); !removed) {
                return tl::unexpected(removed.error());
            }
        }
    }
    session::Edit edit = chain.edit();
    if (clips.size() > 1) {
        edit.label = {"edit-remove-clips", {std::to_string(clips.size())}};
    }
    return edit;
}

Result<session::Edit> moving(const session::Session& session, TreePlace moved, TreePlace onto)
{
    switch (moved.kind) {
    case TreeKind::Setting:
        return session::reorderSetting(session, {moved.id}, settingOf(session, onto));
    case TreeKind::Run:
        return movingRun(session, {moved.id}, settingOf(session, onto));
    case TreeKind::Clip:
        return session::moveClip(session, {moved.id}, runFor(session, onto));
    }
    return session::Edit {};
}

} // namespace twinlamp::ui
