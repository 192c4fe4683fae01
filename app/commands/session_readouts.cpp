// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/session_readouts.h"

#include "core/report/figure_text.h"
#include "core/session/edit_chain.h"
#include "core/session/entry_fields.h"

#include <algorithm>

namespace twinlamp::commands {

namespace {

namespace store = session::store;
using report::Json;

std::string quoted(const std::vector<std::string>& names)
{
    std::string text;
    for (const std::string& name : names) {
        text += (text.empty() ? "'" : ", '") + name + "'";
    }
    return text;
}

tl::unexpected<Error> wrong(std::string detail)
{
    return fail(Stage::Command, Cause::InvalidValue, std::move(detail));
}

Result<const session::Clip*> clipNamed(
    const store::SessionFile& file, session::SettingId setting, const TypeReadouts& task)
{
    std::vector<std::string> names;
    for (const session::Clip* clip : session::clipsOf(file.session(), setting)) {
        names.push_back(session::fileNameOf(*clip));
        if (names.back() == task.clip && clip->measurement) {
            return clip;
        }
    }
    return wrong(file.path().string() + " has no measured clip '" + task.clip + "' in '"
        + task.setting + "'; " + (names.empty() ? "it has none there" : "it has " + quoted(names)));
}

/// Presses that the figures belong to: the one named, and those of its edge kind after it.
Result<std::vector<int>> pressesFor(const session::Clip& clip, const TypeReadouts& task)
{
    const std::vector<Press>& presses = clip.measurement->presses;
    const int first = task.press.value_or(1) - 1;
    const auto start = std::ranges::find(presses, first, &Press::index);
    if (start == presses.end()) {
        return wrong(task.clip + " has no press " + std::to_string(first + 1) + "; it has "
            + std::to_string(presses.size()));
    }
    std::vector<int> indices;
    for (auto press = start; press != presses.end(); ++press) {
        if (press->edge == start->edge) {
            indices.push_back(press->index);
        }
    }
    if (indices.size() < task.latenciesMs.size()) {
        return wrong(std::to_string(task.latenciesMs.size()) + " figures are typed, but "
            + task.clip + " has " + std::to_string(indices.size()) + " presses of that edge from "
            + std::to_string(first + 1) + " on; type one for each");
    }
    indices.resize(task.latenciesMs.size());
    return indices;
}

Json typedJson(const TypeReadouts& task, std::optional<int> press, double latencyMs)
{
    return {{"setting", task.setting}, {"clip", press ? Json(task.clip) : Json(nullptr)},
        {"press", press ? Json(*press + 1) : Json(nullptr)}, {"latency_ms", latencyMs}};
}

Result<TypedReadouts> typeForSetting(
    store::SessionFile& file, session::SettingId id, const TypeReadouts& task)
{
    auto readouts = task.clear ? std::vector<session::SettingReadout> {}
                               : session::find(file.session(), id)->readouts;
    TypedReadouts typed {{}, Json::array()};
    for (const double latencyMs : task.latenciesMs) {
        readouts.push_back({latencyMs, task.note});
        typed.list.push_back(typedJson(task, std::nullopt, latencyMs));
    }
    typed.text = task.setting + ": " + std::to_string(readouts.size()) + " readouts\n";
    return session::changeReadouts(file.session(), id, std::move(readouts))
        .and_then([&file](const session::Edit& edit) { return file.apply(edit); })
        .map([&typed] { return typed; });
}

Result<TypedReadouts> typeForPresses(
    store::SessionFile& file, const session::Clip& clip, const TypeReadouts& task)
{
    const auto presses = pressesFor(clip, task);
    if (!presses) {
        return tl::make_unexpected(presses.error());
    }
    const session::ClipId id = clip.id;
    session::EditChain chain(file.session());
    if (task.clear) {
        for (const session::PressReadout& readout : clip.readouts) {
            const auto cleared = chain.add(
                session::setReadout(chain.session(), {id, readout.press}, std::nullopt));
            if (!cleared) {
                return tl::make_unexpected(cleared.error());
            }
        }
    }
    TypedReadouts typed {{}, Json::array()};
    for (std::size_t i = 0; i < presses->size(); ++i) {
        const int press = (*presses)[i];
        const double latencyMs = task.latenciesMs[i];
        const auto added = chain.add(session::setReadout(chain.session(), {id, press}, latencyMs));
        if (!added) {
            return tl::make_unexpected(added.error());
        }
        typed.list.push_back(typedJson(task, press, latencyMs));
        typed.text += task.clip + ", press " + std::to_string(press + 1) + ": "
            + session::shortestText(latencyMs) + " ms\n";
    }
    session::Edit edit = chain.edit();
    edit.label = {"edit-set-readouts", {task.clip}};
    return file.apply(edit).map([&typed] { return typed; });
}

} // namespace

Result<session::SettingId> settingNamed(const store::SessionFile& file, const std::string& name)
{
    if (const auto* setting = session::findSetting(file.session(), name)) {
        return setting->id;
    }
    std::vector<std::string> names;
    for (const session::LinkSetting& setting : file.session().settings) {
        names.push_back(setting.name);
    }
    return wrong(file.path().string() + " has no link setting '" + name + "'; "
        + (names.empty() ? "it has none yet: file clips in it first" : "it has " + quoted(names)));
}

Result<TypedReadouts> typeReadouts(store::SessionFile& file, const TypeReadouts& task)
{
    const auto setting = settingNamed(file, task.setting);
    if (!setting) {
        return tl::make_unexpected(setting.error());
    }
    if (task.clip.empty()) {
        return typeForSetting(file, *setting, task);
    }
    return clipNamed(file, *setting, task).and_then([&](const session::Clip* clip) {
        return typeForPresses(file, *clip, task);
    });
}

} // namespace twinlamp::commands
