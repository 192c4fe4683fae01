// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit_parts.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::session {

namespace {

using namespace parts;

/// A clip with the press in question, before and after.
struct PressEdit
{
    const Clip* before = nullptr;
    const Press* measured = nullptr;
    Clip after;

    /// The press's correction in `after`; made when there is none.
    PressCorrection& correction(int press)
    {
        auto at = std::ranges::lower_bound(after.corrections, press, {}, &PressCorrection::press);
        if (at == after.corrections.end() || at->press != press) {
            at = after.corrections.insert(at, PressCorrection {press, {}, std::nullopt});
        }
        return *at;
    }

    [[nodiscard]] Edit finish(Sentence label, std::string mergeKey = {})
    {
        std::erase_if(after.corrections, [](const PressCorrection& c) { return c.isEmpty(); });
        return changeEntry(*before, std::move(after), std::move(label), std::move(mergeKey));
    }
};

Result<PressEdit> startEdit(const Session& session, PressAddress at)
{
    const Clip* clip = find(session, at.clip);
    if (clip == nullptr || !clip->measurement) {
        return noSuchEntry("measured clip");
    }
    const std::vector<Press>& presses = clip->measurement->presses;
    const auto press = std::ranges::find(presses, at.press, &Press::index);
    if (press == presses.end()) {
        return noSuchEntry("press");
    }
    return PressEdit {clip, &*press, *clip};
}

/// Presses are counted from 1 where people read them.
std::string numberOf(PressAddress at) { return std::to_string(at.press + 1); }

bool isReadout(double latencyMs) { return std::isfinite(latencyMs) && latencyMs > 0.0; }

tl::unexpected<Error> notAReadout()
{
    return invalid("a latency that the goggle displays is above 0 ms; type it as 22.5");
}

RealTime endOf(const ClipMeasurement& measurement)
{
    const auto frames = static_cast<double>(measurement.clip.frames + measurement.clip.lostFrames);
    return realTimeFromMs(frames * measurement.clip.captureRate.intervalMs());
}

Result<Edit> choose(const Session& session, PressAddress at, HandChoice choice, Sentence label)
{
    Result<PressEdit> edit = startEdit(session, at);
    if (!edit) {
        return tl::unexpected<Error>(edit.error());
    }
    // Back at the program's own choice with nothing to say: no choice by hand is left.
    const bool asMeasured = choice.accepted == edit->measured->accepted && choice.reason.empty();
    edit->correction(at.press).choice
        = asMeasured ? std::nullopt : std::optional<HandChoice>(std::move(choice));
    return edit->finish(std::move(label));
}

} // namespace

Result<Edit> moveMark(const Session& session, PressAddress at, Mark mark, RealTime time)
{
    Result<PressEdit> edit = startEdit(session, at);
    if (!edit) {
        return tl::unexpected<Error>(edit.error());
    }
    if (time < RealTime {0} || time > endOf(*edit->before->measurement)) {
        return invalid("a mark cannot be put outside the clip's time; put it on one of its frames");
    }
    std::vector<MarkCorrection>& marks = edit->correction(at.press).marks;
    const auto place = std::ranges::lower_bound(marks, mark, {}, &MarkCorrection::mark);
    if (place != marks.end() && place->mark == mark) {
        place->time = time;
    } else {
        marks.insert(place, MarkCorrection {mark, time});
    }
    const std::string id(markId(mark));
    return edit->finish({"edit-move-mark-" + id, {numberOf(at)}},
        "mark/" + std::to_string(at.clip.value) + "/" + numberOf(at) + "/" + id);
}

Result<Edit> resetMark(const Session& session, PressAddress at, Mark mark)
{
    Result<PressEdit> edit = startEdit(session, at);
    if (!edit) {
        return tl::unexpected<Error>(edit.error());
    }
    std::erase_if(edit->correction(at.press).marks,
        [mark](const MarkCorrection& moved) { return moved.mark == mark; });
    return edit->finish({"edit-reset-mark", {numberOf(at)}});
}

Result<Edit> setAsidePress(const Session& session, PressAddress at, std::string reason)
{
    if (reason.empty()) {
        return invalid("a press is set aside for a reason; say which");
    }
    return choose(
        session, at, {false, std::move(reason)}, {"edit-set-aside-press", {numberOf(at)}});
}

Result<Edit> acceptPress(const Session& session, PressAddress at, std::string reason)
{
    return choose(session, at, {true, std::move(reason)}, {"edit-accept-press", {numberOf(at)}});
}

Result<Edit> resetChoice(const Session& session, PressAddress at)
{
    Result<PressEdit> edit = startEdit(session, at);
    if (!edit) {
        return tl::unexpected<Error>(edit.error());
    }
    edit->correction(at.press).choice = std::nullopt;
    return edit->finish({"edit-reset-choice", {numberOf(at)}});
}

Result<Edit> setReadout(const Session& session, PressAddress at, std::optional<double> latencyMs)
{
    Result<PressEdit> edit = startEdit(session, at);
    if (!edit) {
        return tl::unexpected<Error>(edit.error());
    }
    if (latencyMs && !isReadout(*latencyMs)) {
        return notAReadout();
    }
    std::vector<PressReadout>& readouts = edit->after.readouts;
    std::erase_if(readouts, [at](const PressReadout& each) { return each.press == at.press; });
    if (latencyMs) {
        const auto place = std::ranges::lower_bound(readouts, at.press, {}, &PressReadout::press);
        readouts.insert(place, PressReadout {at.press, *latencyMs});
    }
    return edit->finish({"edit-set-readout", {numberOf(at)}});
}

Result<Edit> changeReadouts(
    const Session& session, SettingId id, std::vector<SettingReadout> readouts)
{
    const LinkSetting* before = find(session, id);
    if (before == nullptr) {
        return noSuchEntry("link setting");
    }
    const bool good = std::ranges::all_of(
        readouts, [](const SettingReadout& each) { return isReadout(each.latencyMs); });
    if (!good) {
        return notAReadout();
    }
    LinkSetting after = *before;
    after.readouts = std::move(readouts);
    return changeEntry(*before, std::move(after), {"edit-change-readouts", {before->name}});
}

} // namespace twinlamp::session
