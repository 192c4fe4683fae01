// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/session_overview.h"

#include "core/base/version.h"
#include "core/base/wire_names.h"
#include "core/report/figure_text.h"
#include "core/report/text_table.h"
#include "core/session/entry_fields.h"
#include "core/session/rig_values.h"

#include <algorithm>

namespace twinlamp::report {

namespace {

/// Adds what is told; what is open is left out.
class Told
{
public:
    template<typename T> void add(const char* name, const std::optional<T>& value)
    {
        if (value) {
            m_json[name] = *value;
        }
    }

    void add(const char* name, const std::optional<FrameRate>& rate)
    {
        if (rate) {
            m_json[name] = rate->hz();
        }
    }

    void add(const char* name, const std::optional<Latency>& time)
    {
        if (time) {
            m_json[name] = roundedMs(toMs(*time));
        }
    }

    void add(const char* name, const std::string& text)
    {
        if (!text.empty()) {
            m_json[name] = text;
        }
    }

    [[nodiscard]] Json take() { return std::move(m_json); }

private:
    Json m_json = Json::object();
};

Json clipJson(const session::Session& session, const session::Clip& clip)
{
    const session::Rig* rig = session::find(session, clip.rig);
    return {{"file", clip.file.relativePath}, {"sha256", clip.file.sha256},
        {"rig", rig == nullptr ? Json(nullptr) : Json(rig->name)},
        {"presses", clip.measurement ? Json(clip.measurement->presses.size()) : Json(nullptr)},
        {"traces", clip.measurement && static_cast<bool>(clip.measurement->traces)},
        {"out_of_date", session::isOutOfDate(session, clip)},
        {"corrected_presses", clip.corrections.size()}, {"readouts", clip.readouts.size()}};
}

Json settingJson(const session::Session& session, const session::LinkSetting& setting)
{
    Json runs = Json::array();
    for (const session::Run* run : session::runsOf(session, setting.id)) {
        Json clips = Json::array();
        for (const session::Clip* clip : session::clipsOf(session, run->id)) {
            clips.push_back(clipJson(session, *clip));
        }
        runs.push_back({{"run", run->name}, {"notes", run->notes}, {"clips", std::move(clips)}});
    }
    Json readouts = Json::array();
    for (const session::SettingReadout& readout : setting.readouts) {
        readouts.push_back({{"latency_ms", readout.latencyMs}, {"note", readout.note}});
    }
    return {{"setting", setting.name}, {"conditions", conditionsJson(setting.conditions)},
        {"readouts", std::move(readouts)}, {"runs", std::move(runs)}};
}

Json checkJson(const session::RigCheck& check)
{
    Json json {{"kind", std::string(wireName(check.result.kind()))}, {"date", check.date},
        {"file", check.result.file}, {"sha256", check.result.sha256}};
    if (const auto* zero = std::get_if<ZeroFigures>(&check.result.figures)) {
        json["difference_ms"] = roundedMs(zero->differenceMs);
        json["uncertainty_ms"] = roundedMs(zero->uncertaintyMs);
    } else {
        const auto& timeBase = std::get<TimeBaseFigures>(check.result.figures);
        json["capture_rate_hz"] = timeBase.captureRateHz;
        json["uncertainty_hz"] = timeBase.uncertaintyHz;
    }
    return json;
}

Json rigJson(const session::Session& session, const session::Rig& rig)
{
    Told told;
    told.add("name", rig.name);
    told.add("camera", rig.camera);
    told.add("capture_rate_hz", rig.captureRate);
    told.add("exposure_ms", rig.exposureMs);
    told.add("line_time_us", rig.lineTimeUs);
    told.add("zero_ms", rig.zeroMs);
    told.add("zero_uncertainty_ms", rig.zeroUncertaintyMs);
    told.add("shortest_hold_ms", rig.shortestHold);
    told.add("notes", rig.notes);
    Json json = told.take();
    json["checks"] = Json::array();
    for (const session::RigCheck* check : session::checksOf(session, rig.id)) {
        json["checks"].push_back(checkJson(*check));
    }
    return json;
}

struct Held
{
    std::size_t runs = 0;
    std::size_t clips = 0;
    std::size_t measured = 0;
    std::size_t presses = 0;
    std::size_t readouts = 0;
};

Held heldBy(const session::Session& session, const session::LinkSetting& setting)
{
    Held held {session::runsOf(session, setting.id).size(), 0, 0, 0, setting.readouts.size()};
    for (const session::Clip* clip : session::clipsOf(session, setting.id)) {
        ++held.clips;
        held.measured += clip->measurement ? 1 : 0;
        held.presses += clip->measurement ? clip->measurement->presses.size() : 0;
        held.readouts += clip->readouts.size();
    }
    return held;
}

} // namespace

Json conditionsJson(const session::Conditions& c)
{
    Told told;
    told.add("link_camera", c.linkCamera);
    told.add("link_frame_rate_hz", c.linkFrameRate);
    told.add("link_exposure_ms", c.linkExposureMs);
    told.add("width_px", c.widthPx);
    told.add("height_px", c.heightPx);
    told.add("bit_rate_mbit", c.bitRateMbit);
    told.add("channel_mhz", c.channelMhz);
    told.add("channel_width_mhz", c.channelWidthMhz);
    told.add("output_power_mw", c.outputPowerMw);
    told.add("distance_m", c.distanceM);
    told.add("attenuation_db", c.attenuationDb);
    told.add("interference", c.interference);
    told.add("goggle", c.goggle);
    told.add("brightness_percent", c.brightnessPercent);
    told.add("panel_rate_hz", c.panelRateHz);
    told.add("lamp_place", c.lampPlace);
    told.add("warm_up_minutes", c.warmUpMinutes);
    told.add("antenna", c.antenna);
    told.add("firmware", c.firmware);
    told.add("notes", c.notes);
    return told.take();
}

std::string conditionsText(const session::LinkSetting& setting)
{
    std::string text = setting.name + "\n";
    for (const session::NamedField& field : fieldsOf(setting.conditions)) {
        if (!field.text.empty()) {
            text += "    " + field.name + ": " + field.text + "\n";
        }
    }
    return text;
}

Json overviewJson(const session::Session& session)
{
    Json json {{"tool", "twinlamp"}, {"version", std::string(version())}, {"name", session.name},
        {"notes", session.notes},
        {"late_limit_ms", session.lateLimit ? Json(toMs(*session.lateLimit)) : Json(nullptr)}};
    json["settings"] = Json::array();
    for (const session::LinkSetting& setting : session.settings) {
        json["settings"].push_back(settingJson(session, setting));
    }
    json["rigs"] = Json::array();
    for (const session::Rig& rig : session.rigs) {
        json["rigs"].push_back(rigJson(session, rig));
    }
    return json;
}

std::string overviewText(const session::Session& session)
{
    TextTable table({{"link setting", Align::Left}, {"runs"}, {"clips"}, {"measured"}, {"presses"},
        {"readouts"}});
    for (const session::LinkSetting& setting : session.settings) {
        const Held held = heldBy(session, setting);
        table.addRow({setting.name, std::to_string(held.runs), std::to_string(held.clips),
            std::to_string(held.measured), std::to_string(held.presses),
            std::to_string(held.readouts)});
    }
    std::string text = session.name + "\n\n";
    text += session.settings.empty() ? "No link setting yet.\n" : table.text();
    if (!session.rigs.empty()) {
        TextTable rigs({{"rig", Align::Left}, {"camera", Align::Left}, {"checks"}});
        for (const session::Rig& rig : session.rigs) {
            rigs.addRow(
                {rig.name, rig.camera, std::to_string(session::checksOf(session, rig.id).size())});
        }
        text += "\n" + rigs.text();
    }
    return text;
}

} // namespace twinlamp::report
