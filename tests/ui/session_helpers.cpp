// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/session_helpers.h"

#include "core/session/edit.h"

#include <gtest/gtest.h>
#include <stdexcept>

namespace twinlamp::ui::tests {

namespace {

template<typename T> bool holds(const Result<T>& result)
{
    if (!result) {
        ADD_FAILURE() << result.error().detail;
    }
    return result.has_value();
}

void apply(session::store::SessionFile& file, const Result<session::Edit>& edit)
{
    if (holds(edit)) {
        holds(file.apply(*edit));
    }
}

} // namespace

session::store::SessionFile newSession(const std::filesystem::path& file)
{
    auto created = session::store::SessionFile::create(file, "window test");
    if (!created) {
        throw std::runtime_error(created.error().detail);
    }
    return std::move(*created);
}

session::EffectivePress effectivePress(
    int index, double onsetMs, std::optional<double> firstLightMs, Edge edge)
{
    session::EffectivePress both;
    Press& press = both.press;
    press.index = index;
    press.edge = edge;
    press.reference = realTimeFromMs(onsetMs);
    if (firstLightMs) {
        press.firstLight = realTimeFromMs(*firstLightMs);
        press.halfLight = realTimeFromMs(*firstLightMs + 1.0);
        press.settled = realTimeFromMs(*firstLightMs + 3.0);
        press.latency = *press.firstLight - *press.reference;
        press.uncertainty = latencyFromMs(0.1);
    } else {
        press.flags = {Flag::NoResponse};
    }
    press.referenceAfter = 0.6;
    press.goggleAfter = 0.5;
    both.measured = press;
    return both;
}

session::ClipId addMeasuredClip(session::store::SessionFile& file, const std::string& setting,
    const std::vector<double>& latenciesMs)
{
    const auto settingId = session::newId<session::SettingId>();
    const auto runId = session::newId<session::RunId>();
    session::Clip clip;
    clip.id = session::newId<session::ClipId>();
    clip.run = runId;
    clip.file.relativePath = setting + ".mp4";
    apply(file, session::addSetting(file.session(), settingId, setting));
    apply(file, session::addRun(file.session(), runId, settingId, "run 1"));
    apply(file, session::addClip(file.session(), clip));

    ClipResult result;
    result.clip.file = setting + ".mp4";
    result.clip.captureRate = {1000, 1};
    result.clip.widthPx = 320;
    result.clip.heightPx = 180;
    result.regions
        = {{10, 10, 20, 20}, {100, 60, 24, 24}, RectPx {80, 40, 120, 80}, RegionSource::Located};
    double onset = 200.0;
    for (const double latency : latenciesMs) {
        result.presses.push_back(
            effectivePress(static_cast<int>(result.presses.size()), onset, onset + latency).press);
        onset += 400.0;
    }
    const auto frames = static_cast<std::size_t>(onset);
    for (std::size_t k = 0; k < frames; ++k) {
        result.traces.exposureStart.push_back(realTimeFromMs(static_cast<double>(k)));
        result.traces.reference.push_back(k % 400 < 200 ? 0.02F : 0.6F);
        result.traces.goggle.push_back(k % 400 < 225 ? 0.02F : 0.5F);
    }
    result.clip.frames = static_cast<std::int64_t>(frames);
    auto kept = file.keep(std::move(result), {});
    if (holds(kept)) {
        apply(file, session::setMeasurement(file.session(), clip.id, std::move(*kept)));
    }
    return clip.id;
}

} // namespace twinlamp::ui::tests
