// SPDX-License-Identifier: GPL-3.0-or-later
// Rigs, their checks, settings and runs of a merge.
#include "core/session/merge_parts.h"

#include <algorithm>

namespace twinlamp::session::merging {

namespace {

/// Calls `visit(name, here, there)` for each value that a rig tells besides its name and notes.
template<typename Visit> void eachValue(Rig& here, const Rig& there, const Visit& visit)
{
    visit("camera", here.camera, there.camera);
    visit("capture_rate_hz", here.captureRate, there.captureRate);
    visit("exposure_ms", here.exposureMs, there.exposureMs);
    visit("line_time_us", here.lineTimeUs, there.lineTimeUs);
    visit("zero_ms", here.zeroMs, there.zeroMs);
    visit("zero_uncertainty_ms", here.zeroUncertaintyMs, there.zeroUncertaintyMs);
    visit("shortest_hold_ms", here.shortestHold, there.shortestHold);
}

template<typename Visit>
void eachValue(LinkSetting& setting, const LinkSetting& other, const Visit& visit)
{
    Conditions& here = setting.conditions;
    const Conditions& there = other.conditions;
    visit("link_camera", here.linkCamera, there.linkCamera);
    visit("link_frame_rate_hz", here.linkFrameRate, there.linkFrameRate);
    visit("link_exposure_ms", here.linkExposureMs, there.linkExposureMs);
    visit("width_px", here.widthPx, there.widthPx);
    visit("height_px", here.heightPx, there.heightPx);
    visit("bit_rate_mbit", here.bitRateMbit, there.bitRateMbit);
    visit("channel_mhz", here.channelMhz, there.channelMhz);
    visit("channel_width_mhz", here.channelWidthMhz, there.channelWidthMhz);
    visit("output_power_mw", here.outputPowerMw, there.outputPowerMw);
    visit("distance_m", here.distanceM, there.distanceM);
    visit("attenuation_db", here.attenuationDb, there.attenuationDb);
    visit("interference", here.interference, there.interference);
    visit("goggle", here.goggle, there.goggle);
    visit("brightness_percent", here.brightnessPercent, there.brightnessPercent);
    visit("panel_rate_hz", here.panelRateHz, there.panelRateHz);
    visit("lamp_place", here.lampPlace, there.lampPlace);
    visit("warm_up_minutes", here.warmUpMinutes, there.warmUpMinutes);
    visit("antenna", here.antenna, there.antenna);
    visit("firmware", here.firmware, there.firmware);
}

bool isTold(const std::string& value) { return !value.empty(); }

template<typename T> bool isTold(const std::optional<T>& value) { return value.has_value(); }

/// "exposure_ms 0.9 here, 1.2 there": what two entries contradict each other in; empty: in nothing.
template<typename T> std::string contradictions(T here, const T& there)
{
    std::string list;
    const Fields ofHere = fieldsOf(here);
    const Fields ofThere = fieldsOf(there);
    const auto text = [](const Fields& fields, const char* name) {
        return std::ranges::find(fields, name, &NamedField::name)->text;
    };
    eachValue(here, there, [&](const char* name, const auto& a, const auto& b) {
        if (isTold(a) && isTold(b) && a != b) {
            list += (list.empty() ? "" : "; ") + std::string(name) + " " + text(ofHere, name)
                + " here, " + text(ofThere, name) + " there";
        }
    });
    return list;
}

template<typename T> std::string nameFreeIn(const std::vector<T>& list, const std::string& name)
{
    return freeName(name, [&list](const std::string& candidate) {
        return std::ranges::find(list, candidate, &T::name) != list.end();
    });
}

/// Fills what is open here; what contradicts is a conflict.
template<typename T> void fill(State& state, const Owner& owner, T& here, const T& there)
{
    const Fields before = fieldsOf(here);
    const Fields other = fieldsOf(there);
    const auto field = [](const Fields& fields, const char* name) {
        return *std::ranges::find(fields, name, &NamedField::name);
    };
    eachValue(here, there, [&](const char* name, auto& a, const auto& b) {
        if (!isTold(b) || a == b) {
            return;
        }
        if (!isTold(a) || takesThere(state, owner, field(before, name), field(other, name).text)) {
            a = b;
        }
    });
}

std::string& notesOf(Rig& rig) { return rig.notes; }

const std::string& notesOf(const Rig& rig) { return rig.notes; }

std::string& notesOf(LinkSetting& setting) { return setting.conditions.notes; }

const std::string& notesOf(const LinkSetting& setting) { return setting.conditions.notes; }

void fillMore(Rig& /*here*/, const Rig& /*there*/) { }

/// Readouts that are not here yet; equal ones as often as the session that has more of them.
void fillMore(LinkSetting& here, const LinkSetting& there)
{
    std::vector<SettingReadout> left = here.readouts;
    for (const SettingReadout& readout : there.readouts) {
        const auto same = std::ranges::find(left, readout);
        if (same == left.end()) {
            here.readouts.push_back(readout);
        } else {
            left.erase(same);
        }
    }
}

template<typename T> constexpr const char* kindOf = std::is_same_v<T, Rig> ? "rig" : "link-setting";

/// The entry that one of the other session is the same as; null: it is a new one.
template<typename T> T* counterpart(State& state, std::vector<T>& list, const T& there)
{
    if (const auto byId = std::ranges::find(list, there.id, &T::id); byId != list.end()) {
        return &*byId;
    }
    const auto byName = std::ranges::find(list, there.name, &T::name);
    if (byName == list.end()) {
        return nullptr;
    }
    constexpr bool isRig = std::is_same_v<T, Rig>;
    const std::string differs = contradictions(*byName, there);
    if (differs.empty()) {
        state.merge.notes.push_back(
            {isRig ? "merge-rig-taken-as-one" : "merge-setting-taken-as-one", {there.name}});
        return &*byName;
    }
    const std::string name = nameFreeIn(list, there.name);
    state.merge.conflicts.push_back(
        {{isRig ? "merge-rig-apart" : "merge-setting-apart", {there.name, differs, name}},
            {kindOf<T>, name, "name (not taken over)", there.name, name}});
    return nullptr;
}

/// @return How many came in anew.
template<typename T, typename Ids>
int mergeList(State& state, std::vector<T>& list, const std::vector<T>& others, Ids& ids)
{
    int added = 0;
    for (const T& there : others) {
        T* here = counterpart(state, list, there);
        if (here == nullptr) {
            T entry = there;
            entry.place = parts::lastPlace(list);
            entry.name = nameFreeIn(list, there.name);
            list.push_back(std::move(entry));
            ids[there.id] = there.id;
            ++added;
            continue;
        }
        ids[there.id] = here->id;
        const Owner owner {kindOf<T>, here->name};
        const bool nameIsUsed = std::ranges::find(list, there.name, &T::name) != list.end();
        if (!nameIsUsed && takesThere(state, owner, {"name", here->name}, there.name)) {
            here->name = there.name;
        }
        fill(state, owner, *here, there);
        fillMore(*here, there);
        notesOf(*here) = joined(notesOf(*here), notesOf(there));
    }
    return added;
}

bool isSameCheck(const RigCheck& a, const RigCheck& b)
{
    return a.id == b.id || (a.rig == b.rig && a.date == b.date && a.result == b.result);
}

/// The run here that one of the other session is the same power-up as; null: it is another.
Run* sameRun(State& state, const Run& there, SettingId setting)
{
    std::vector<Run>& runs = state.result.runs;
    if (const auto byId = std::ranges::find(runs, there.id, &Run::id); byId != runs.end()) {
        return &*byId;
    }
    const auto clips = clipsOf(state.there, there.id);
    for (const Clip* clip : clips) {
        const Clip* same = sameClip(state, *clip);
        const auto run
            = same == nullptr ? runs.end() : std::ranges::find(runs, same->run, &Run::id);
        if (run != runs.end() && run->setting == setting) {
            return &*run;
        }
    }
    // Without a clip it is no more than a name.
    const auto byName = std::ranges::find_if(runs, [&](const Run& run) {
        return clips.empty() && run.setting == setting && run.name == there.name;
    });
    return byName == runs.end() ? nullptr : &*byName;
}

void addRun(State& state, const Run& there, SettingId setting)
{
    Session& result = state.result;
    Run run = there;
    run.setting = setting;
    run.place = parts::lastPlace(result.runs);
    run.name = freeName(there.name,
        [&](const std::string& name) { return findRun(result, setting, name) != nullptr; });
    state.runs[there.id] = run.id;
    ++state.merge.counts.runs;
    result.runs.push_back(std::move(run));
    const Run& added = result.runs.back();
    if (added.name != there.name) {
        state.merge.conflicts.push_back(
            {{"merge-run-apart", {there.name, find(result, setting)->name, added.name}},
                {"run", titleOf(added, result), "name (not taken over)", there.name, added.name}});
    }
}

} // namespace

void mergeRigs(State& state)
{
    state.merge.counts.rigs = mergeList(state, state.result.rigs, state.there.rigs, state.rigs);
}

void mergeSettings(State& state)
{
    state.merge.counts.settings
        = mergeList(state, state.result.settings, state.there.settings, state.settings);
}

void mergeRigChecks(State& state)
{
    std::vector<RigCheck>& checks = state.result.rigChecks;
    for (const RigCheck& there : state.there.rigChecks) {
        RigCheck check = there;
        check.rig = state.rigs.at(there.rig);
        const bool isThere = std::ranges::any_of(
            checks, [&check](const RigCheck& each) { return isSameCheck(each, check); });
        if (!isThere) {
            check.place = parts::lastPlace(checks);
            checks.push_back(std::move(check));
            ++state.merge.counts.rigChecks;
        }
    }
}

void mergeRuns(State& state)
{
    for (const Run& there : state.there.runs) {
        const SettingId setting = state.settings.at(there.setting);
        Run* here = sameRun(state, there, setting);
        if (here == nullptr) {
            addRun(state, there, setting);
            continue;
        }
        state.runs[there.id] = here->id;
        here->notes = joined(here->notes, there.notes);
        const Owner owner {"run", titleOf(*here, state.result)};
        const bool nameIsUsed = findRun(state.result, here->setting, there.name) != nullptr;
        if (here->id == there.id && !nameIsUsed
            && takesThere(state, owner, {"name", here->name}, there.name)) {
            here->name = there.name;
        }
    }
}

} // namespace twinlamp::session::merging
