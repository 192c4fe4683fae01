// SPDX-License-Identifier: GPL-3.0-or-later
// Clips of a merge, with what was measured and done by hand.
#include "core/session/clip_files.h"
#include "core/session/effective.h"
#include "core/session/merge_parts.h"

#include <algorithm>
#include <set>

namespace twinlamp::session::merging {

namespace {

Owner ownerOf(const Clip& clip) { return {"clip", fileNameOf(clip)}; }

/// Same in everything but the fitted models, which a session exported without traces lacks.
bool isSamePress(const Press& a, const Press& b)
{
    Press other = b;
    other.referenceModel = a.referenceModel;
    other.goggleModel = a.goggleModel;
    return a == other;
}

/// Same figures; where the traces lie and how long the scan took say nothing.
bool saysTheSame(const ClipMeasurement& a, const ClipMeasurement& b)
{
    return a.clip == b.clip && a.regions == b.regions
        && std::ranges::equal(a.presses, b.presses, isSamePress) && a.panelTiming == b.panelTiming
        && a.notes == b.notes && fieldsOf(a.options) == fieldsOf(b.options);
}

void keepTraces(State& state, const Clip& clip)
{
    if (clip.measurement && clip.measurement->traces) {
        state.merge.traces.push_back(clip.measurement->traces);
    }
}

std::string pressField(int press, std::string_view what)
{
    return "press " + std::to_string(press + 1) + " " + std::string(what);
}

std::string choiceText(const HandChoice& choice)
{
    return std::string(choice.accepted ? "accepted" : "set aside")
        + (choice.reason.empty() ? "" : ": ") + choice.reason;
}

void noCounterpart(State& state, const Clip& here, int press, const std::string& what)
{
    state.merge.conflicts.push_back(
        {{"merge-no-press", {fileNameOf(here), std::to_string(press + 1), what}},
            {"clip", fileNameOf(here), pressField(press, "by hand (not taken over)"), what,
                std::nullopt}});
}

std::string correctionText(const PressCorrection& correction)
{
    std::string text;
    for (const MarkCorrection& mark : correction.marks) {
        text += (text.empty() ? "" : ", ") + std::string(markId(mark.mark)) + " at "
            + shortestText(toMs(mark.time)) + " ms";
    }
    if (correction.choice) {
        text += (text.empty() ? "" : ", ") + choiceText(*correction.choice);
    }
    return text;
}

bool isOpen(const measure::MeasureOptions& options)
{
    return fieldsOf(options) == fieldsOf(measure::MeasureOptions {});
}

std::string readoutText(const PressReadout& readout)
{
    return "readout " + shortestText(readout.latencyMs) + " ms";
}

bool hasPress(const Clip& clip, int index, const ClipMeasurement& measurement)
{
    const auto press = std::ranges::find(clip.measurement->presses, index, &Press::index);
    return press != clip.measurement->presses.end()
        && counterpartOf(*press, measurement) != nullptr;
}

/// In place of the clip's own, with what was done by hand moved to its presses.
void takeMeasurement(State& state, Clip& here, const Clip& there)
{
    if (here.measurement) {
        for (const PressCorrection& correction : here.corrections) {
            if (!hasPress(here, correction.press, *there.measurement)) {
                noCounterpart(state, here, correction.press, correctionText(correction));
            }
        }
        for (const PressReadout& readout : here.readouts) {
            if (!hasPress(here, readout.press, *there.measurement)) {
                noCounterpart(state, here, readout.press, readoutText(readout));
            }
        }
        here.corrections = carriedCorrections(here, *there.measurement).corrections;
        here.readouts = carriedReadouts(here, *there.measurement);
    } else if (isOpen(here.options)) {
        here.options = there.options;
    }
    here.measurement = there.measurement;
    keepTraces(state, there);
}

void mergeMeasurement(State& state, Clip& here, const Clip& there)
{
    if (!there.measurement) {
        return;
    }
    if (!here.measurement) {
        takeMeasurement(state, here, there);
        return;
    }
    if (saysTheSame(*here.measurement, *there.measurement)) {
        if (!here.measurement->traces && there.measurement->traces) {
            here.measurement = there.measurement;
            keepTraces(state, there);
        }
        return;
    }
    const NamedField text {"measurement", measurementText(here.measurement)};
    if (takesThere(state, ownerOf(here), text, measurementText(there.measurement))) {
        takeMeasurement(state, here, there);
    }
}

void mergeOptions(State& state, Clip& here, const Clip& there)
{
    const Fields ofThere = fieldsOf(there.options);
    const Fields ofHere = fieldsOf(here.options);
    if (ofHere == ofThere) {
        return;
    }
    if (!here.measurement && isOpen(here.options)) {
        here.options = there.options;
        return;
    }
    std::string textHere;
    std::string textThere;
    for (std::size_t i = 0; i < ofHere.size(); ++i) {
        if (ofHere[i] != ofThere[i]) {
            const auto add = [](std::string& text, const NamedField& field) {
                text += (text.empty() ? "" : "; ") + field.name + " "
                    + (field.text.empty() ? "open" : field.text);
            };
            add(textHere, ofHere[i]);
            add(textThere, ofThere[i]);
        }
    }
    if (takesThere(state, ownerOf(here), {"options", textHere}, textThere)) {
        here.options = there.options;
    }
}

/// Index of the press here that one of the other session is; nothing without one.
std::optional<int> pressHere(const Clip& here, const Clip& there, int index)
{
    if (!here.measurement || !there.measurement) {
        return std::nullopt;
    }
    if (saysTheSame(*here.measurement, *there.measurement)) {
        return index;
    }
    const auto press = std::ranges::find(there.measurement->presses, index, &Press::index);
    const Press* same = press == there.measurement->presses.end()
        ? nullptr
        : counterpartOf(*press, *here.measurement);
    return same == nullptr ? std::nullopt : std::optional(same->index);
}

void mergeMark(State& state, const Owner& owner, PressCorrection& here, const MarkCorrection& there)
{
    const auto place = std::ranges::lower_bound(here.marks, there.mark, {}, &MarkCorrection::mark);
    if (place == here.marks.end() || place->mark != there.mark) {
        here.marks.insert(place, there);
        return;
    }
    const NamedField field {pressField(here.press, std::string(markId(there.mark)) + "_ms"),
        shortestText(toMs(place->time))};
    if (place->time != there.time
        && takesThere(state, owner, field, shortestText(toMs(there.time)))) {
        place->time = there.time;
    }
}

void mergeCorrection(
    State& state, const Owner& owner, PressCorrection& here, const PressCorrection& there)
{
    for (const MarkCorrection& mark : there.marks) {
        mergeMark(state, owner, here, mark);
    }
    if (!there.choice || there.choice == here.choice) {
        return;
    }
    if (!here.choice
        || takesThere(state, owner, {pressField(here.press, "choice"), choiceText(*here.choice)},
            choiceText(*there.choice))) {
        here.choice = there.choice;
    }
}

void mergeCorrections(State& state, Clip& here, const Clip& there)
{
    for (const PressCorrection& correction : there.corrections) {
        const auto press = pressHere(here, there, correction.press);
        if (!press) {
            noCounterpart(state, here, correction.press, correctionText(correction));
            continue;
        }
        auto place
            = std::ranges::lower_bound(here.corrections, *press, {}, &PressCorrection::press);
        if (place == here.corrections.end() || place->press != *press) {
            place = here.corrections.insert(place, PressCorrection {*press, {}, std::nullopt});
        }
        mergeCorrection(state, ownerOf(here), *place, correction);
    }
}

void mergeReadouts(State& state, Clip& here, const Clip& there)
{
    for (const PressReadout& readout : there.readouts) {
        const auto press = pressHere(here, there, readout.press);
        if (!press) {
            noCounterpart(state, here, readout.press, readoutText(readout));
            continue;
        }
        const auto place
            = std::ranges::lower_bound(here.readouts, *press, {}, &PressReadout::press);
        if (place == here.readouts.end() || place->press != *press) {
            here.readouts.insert(place, PressReadout {*press, readout.latencyMs});
            continue;
        }
        const NamedField field {pressField(*press, "readout_ms"), shortestText(place->latencyMs)};
        if (place->latencyMs != readout.latencyMs
            && takesThere(state, ownerOf(here), field, shortestText(readout.latencyMs))) {
            place->latencyMs = readout.latencyMs;
        }
    }
}

void mergePlace(State& state, Clip& here, const Clip& there)
{
    const Run& other = *find(state.result, state.runs.at(there.run));
    const Run& own = *find(state.result, here.run);
    if (own.id != other.id
        && takesThere(state, ownerOf(here), {"run", titleOf(own, state.result)},
            titleOf(other, state.result))) {
        here.run = other.id;
    }
    if (!there.rig || here.rig == state.rigs.at(there.rig)) {
        return;
    }
    const Rig& rig = *find(state.result, state.rigs.at(there.rig));
    const Rig* ownRig = find(state.result, here.rig);
    if (ownRig == nullptr || takesThere(state, ownerOf(here), {"rig", ownRig->name}, rig.name)) {
        here.rig = rig.id;
    }
}

void addClip(State& state, const Clip& there)
{
    Clip clip = there;
    clip.id = freeId(state.result, there.id);
    clip.place = parts::lastPlace(state.result.clips);
    clip.run = state.runs.at(there.run);
    clip.rig = there.rig ? state.rigs.at(there.rig) : RigId {};
    clip.file = rebased(there.file, state.options.thereFile, state.options.hereFile);
    keepTraces(state, clip);
    state.result.clips.push_back(std::move(clip));
    ++state.merge.counts.clips;
}

bool bothHashed(const Clip& a, const Clip& b)
{
    return !a.file.sha256.empty() && !b.file.sha256.empty();
}

bool hasSameContent(const Clip& a, const Clip& b)
{
    if (bothHashed(a, b)) {
        return a.file.sha256 == b.file.sha256;
    }
    return a.file.sizeBytes > 0 && a.file.sizeBytes == b.file.sizeBytes
        && fileNameOf(a) == fileNameOf(b);
}

} // namespace

void pairClips(State& state)
{
    std::set<ClipId> taken;
    const auto pair = [&](const Clip& there, bool (*isSame)(const Clip&, const Clip&)) {
        const auto here = std::ranges::find_if(state.here.clips,
            [&](const Clip& clip) { return !taken.contains(clip.id) && isSame(clip, there); });
        if (here != state.here.clips.end()) {
            taken.insert(here->id);
            state.clips[there.id] = here->id;
        }
    };
    // Ids first: where a session holds one content twice, each of the two finds its own.
    for (const Clip& there : state.there.clips) {
        pair(there, [](const Clip& a, const Clip& b) {
            return a.id == b.id && (!bothHashed(a, b) || a.file.sha256 == b.file.sha256);
        });
    }
    for (const Clip& there : state.there.clips) {
        if (!state.clips.contains(there.id)) {
            pair(there, hasSameContent);
        }
    }
}

Clip* sameClip(State& state, const Clip& other)
{
    const auto pair = state.clips.find(other.id);
    return pair == state.clips.end()
        ? nullptr
        : &*std::ranges::find(state.result.clips, pair->second, &Clip::id);
}

void mergeClip(State& state, Clip& here, const Clip& there)
{
    ++state.merge.counts.clipsInBoth;
    here.file.sha256 = here.file.sha256.empty() ? there.file.sha256 : here.file.sha256;
    here.file.sizeBytes = here.file.sizeBytes == 0 ? there.file.sizeBytes : here.file.sizeBytes;
    mergePlace(state, here, there);
    mergeMeasurement(state, here, there);
    mergeOptions(state, here, there);
    mergeCorrections(state, here, there);
    mergeReadouts(state, here, there);
    here.notes = joined(here.notes, there.notes);
}

void mergeClips(State& state)
{
    for (const Clip& there : state.there.clips) {
        if (Clip* here = sameClip(state, there)) {
            mergeClip(state, *here, there);
        } else {
            addClip(state, there);
        }
    }
}

} // namespace twinlamp::session::merging
