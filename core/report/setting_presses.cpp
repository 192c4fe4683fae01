// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/setting_presses.h"

#include "core/base/contracts.h"
#include "core/session/effective.h"
#include "core/session/rig_values.h"

#include <algorithm>
#include <filesystem>

namespace twinlamp::report {

namespace {

void addClip(const session::Session& session, const session::Clip& clip, SettingPresses& setting)
{
    if (!clip.measurement) {
        ++setting.clipsNotMeasured;
        return;
    }
    setting.clipsOutOfDate += session::isOutOfDate(session, clip) ? 1 : 0;
    ClipPresses& made = setting.clips.emplace_back();
    made.run = setting.runs.size() - 1;
    made.presses = session::countedPresses(clip);
    made.facts = clip.measurement->clip;
    made.options = clip.measurement->options;
    made.file = std::filesystem::path(made.facts.file).filename().string();
    made.rig = clip.rig;
    const session::Rig* rig = session::find(session, clip.rig);
    made.rigName = rig == nullptr ? std::string() : rig->name;
    std::vector<Press>& ofRun = setting.runs.back().presses;
    ofRun.insert(ofRun.end(), made.presses.begin(), made.presses.end());
}

} // namespace

std::vector<stats::RunPresses> SettingPresses::runViews() const
{
    std::vector<stats::RunPresses> views;
    for (const NamedRun& run : runs) {
        views.emplace_back(run.presses);
    }
    return views;
}

std::vector<stats::RunPresses> SettingPresses::clipViews() const
{
    std::vector<stats::RunPresses> views;
    for (const ClipPresses& clip : clips) {
        views.emplace_back(clip.presses);
    }
    return views;
}

std::optional<FrameRate> SettingPresses::linkFrameRate() const
{
    if (conditions.linkFrameRate || clips.empty()) {
        return conditions.linkFrameRate;
    }
    const auto first = clips.front().options.linkFrameRate;
    const bool agree = std::ranges::all_of(
        clips, [&first](const ClipPresses& clip) { return clip.options.linkFrameRate == first; });
    return agree ? first : std::nullopt;
}

SettingPresses settingPresses(const session::Session& session, session::SettingId setting)
{
    const session::LinkSetting* entry = session::find(session, setting);
    TL_EXPECTS(entry != nullptr);
    SettingPresses made;
    made.name = entry->name;
    made.conditions = entry->conditions;
    for (const session::Run* run : session::runsOf(session, setting)) {
        made.runs.push_back({run->name, {}});
        for (const session::Clip* clip : session::clipsOf(session, run->id)) {
            addClip(session, *clip, made);
        }
    }
    return made;
}

} // namespace twinlamp::report
