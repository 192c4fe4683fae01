// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/entry_fields.h"

#include "core/base/wire_names.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <filesystem>
#include <type_traits>

namespace twinlamp::session {

namespace {

std::string textOf(bool value) { return value ? "yes" : ""; }

std::string textOf(int value) { return std::to_string(value); }

std::string textOf(double value) { return shortestText(value); }

std::string textOf(FrameRate value) { return toText(value); }

std::string textOf(Latency value)
{
    // Divided: what was typed in ms comes out as it was typed.
    return shortestText(static_cast<double>(value.ns) / 1e6);
}

std::string textOf(const QuadPx& value) { return toText(value); }

std::string textOf(RectPx value)
{
    return std::to_string(value.x) + "," + std::to_string(value.y) + ","
        + std::to_string(value.width) + "," + std::to_string(value.height);
}

template<typename T>

requires std::is_enum_v<T> std::string textOf(T value) { return std::string(wireName(value)); }

template<typename T> std::string textOf(const std::optional<T>& value)
{
    return value ? textOf(*value) : std::string();
}

/// What a new measurement starts from says nothing.
template<typename T> std::string unless(const T& usual, const T& value)
{
    return value == usual ? std::string() : textOf(value);
}

std::string nameOf(const Rig* rig) { return rig == nullptr ? std::string() : rig->name; }

std::string msText(RealTime time) { return shortestText(toMs(time)); }

/// Where the press's mark was measured.
std::optional<RealTime> measuredMark(const Clip& clip, int press, Mark mark)
{
    if (!clip.measurement) {
        return std::nullopt;
    }
    const auto found = std::ranges::find(clip.measurement->presses, press, &Press::index);
    if (found == clip.measurement->presses.end()) {
        return std::nullopt;
    }
    switch (mark) {
    case Mark::Onset:
        return found->reference;
    case Mark::FirstLight:
        return found->firstLight;
    case Mark::HalfLight:
        return found->halfLight;
    case Mark::Settled:
        return found->settled;
    case Mark::SweepStart:
        return found->sweepStart;
    case Mark::FullFrame:
        return found->fullFrame;
    }
    return std::nullopt;
}

std::string pressName(int press) { return "press " + std::to_string(press + 1) + " "; }

void addCorrections(Fields& fields, const Clip& clip)
{
    for (const PressCorrection& correction : clip.corrections) {
        const std::string press = pressName(correction.press);
        for (const MarkCorrection& moved : correction.marks) {
            const auto measured = measuredMark(clip, correction.press, moved.mark);
            fields.push_back({press + std::string(markId(moved.mark)) + "_ms",
                msText(moved.time) + " (measured "
                    + (measured ? msText(*measured) : std::string("nothing")) + ")"});
        }
        if (correction.choice) {
            fields.push_back({press + "choice",
                std::string(correction.choice->accepted ? "accepted" : "set aside")
                    + (correction.choice->reason.empty() ? "" : ": ") + correction.choice->reason});
        }
    }
    for (const PressReadout& readout : clip.readouts) {
        fields.push_back(
            {pressName(readout.press) + "readout_ms", shortestText(readout.latencyMs)});
    }
}

std::string readoutsText(const std::vector<SettingReadout>& readouts)
{
    std::string text;
    for (const SettingReadout& readout : readouts) {
        text += (text.empty() ? "" : ", ") + shortestText(readout.latencyMs)
            + (readout.note.empty() ? "" : " (" + readout.note + ")");
    }
    return text;
}

std::string figuresText(const CheckResult& result)
{
    if (const auto* zero = std::get_if<ZeroFigures>(&result.figures)) {
        return shortestText(zero->differenceMs) + " ms, +- " + shortestText(zero->uncertaintyMs)
            + " ms";
    }
    const auto& timeBase = std::get<TimeBaseFigures>(result.figures);
    return shortestText(timeBase.captureRateHz) + " frames/s, +- "
        + shortestText(timeBase.uncertaintyHz);
}

void append(Fields& fields, Fields more) { std::ranges::move(more, std::back_inserter(fields)); }

} // namespace

std::string shortestText(double value)
{
    std::array<char, 32> text {};
    return {text.data(), std::to_chars(text.data(), text.data() + text.size(), value).ptr};
}

std::string fileNameOf(const Clip& clip)
{
    const std::string& path
        = clip.file.relativePath.empty() ? clip.file.absolutePath : clip.file.relativePath;
    return std::filesystem::path(path).filename().string();
}

std::string titleOf(const Run& run, const Session& session)
{
    const LinkSetting* setting = find(session, run.setting);
    return run.name + (setting == nullptr ? std::string() : " of " + setting->name);
}

std::string measurementText(const SharedValue<ClipMeasurement>& measurement)
{
    if (!measurement) {
        return {};
    }
    const auto answered = std::ranges::count_if(
        measurement->presses, [](const Press& press) { return press.latency.has_value(); });
    return std::to_string(measurement->presses.size()) + " presses, " + std::to_string(answered)
        + " with a latency, at " + toText(measurement->clip.captureRate) + " frames/s";
}

Fields fieldsOf(const SessionInfo& info)
{
    return {{"name", info.name}, {"notes", info.notes}, {"late_limit_ms", textOf(info.lateLimit)}};
}

Fields fieldsOf(const Rig& rig)
{
    return {{"name", rig.name}, {"camera", rig.camera},
        {"capture_rate_hz", textOf(rig.captureRate)}, {"exposure_ms", textOf(rig.exposureMs)},
        {"line_time_us", textOf(rig.lineTimeUs)}, {"zero_ms", textOf(rig.zeroMs)},
        {"zero_uncertainty_ms", textOf(rig.zeroUncertaintyMs)},
        {"shortest_hold_ms", textOf(rig.shortestHold)}, {"notes", rig.notes}};
}

Fields fieldsOf(const Conditions& c)
{
    return {{"link_camera", c.linkCamera}, {"link_frame_rate_hz", textOf(c.linkFrameRate)},
        {"link_exposure_ms", textOf(c.linkExposureMs)}, {"width_px", textOf(c.widthPx)},
        {"height_px", textOf(c.heightPx)}, {"bit_rate_mbit", textOf(c.bitRateMbit)},
        {"channel_mhz", textOf(c.channelMhz)}, {"channel_width_mhz", textOf(c.channelWidthMhz)},
        {"output_power_mw", textOf(c.outputPowerMw)}, {"distance_m", textOf(c.distanceM)},
        {"attenuation_db", textOf(c.attenuationDb)}, {"interference", c.interference},
        {"goggle", c.goggle}, {"brightness_percent", textOf(c.brightnessPercent)},
        {"panel_rate_hz", textOf(c.panelRateHz)}, {"lamp_place", c.lampPlace},
        {"warm_up_minutes", textOf(c.warmUpMinutes)}, {"antenna", c.antenna},
        {"firmware", c.firmware}, {"notes", c.notes}};
}

Fields fieldsOf(const LinkSetting& setting)
{
    Fields fields {{"name", setting.name}};
    append(fields, fieldsOf(setting.conditions));
    fields.push_back({"readouts_ms", readoutsText(setting.readouts)});
    return fields;
}

Fields fieldsOf(const Run& run, const Session& session)
{
    const LinkSetting* setting = find(session, run.setting);
    return {{"name", run.name}, {"setting", setting == nullptr ? std::string() : setting->name},
        {"notes", run.notes}};
}

Fields fieldsOf(const measure::MeasureOptions& o)
{
    const measure::MeasureOptions usual;
    return {{"reference", textOf(o.reference)}, {"goggle", textOf(o.goggle)},
        {"panel", o.panelCorners ? textOf(o.panelCorners) : textOf(o.panel)},
        {"without_panel", textOf(o.withoutPanel)}, {"capture_rate_hz", textOf(o.captureRate)},
        {"capture_rate_source", unless(usual.captureRateSource, o.captureRateSource)},
        {"capture_rate_uncertainty_hz", textOf(o.captureRateUncertaintyHz)},
        {"exposure_ms", textOf(o.exposureMs)}, {"line_time_us", textOf(o.lineTimeUs)},
        {"transfer", textOf(o.transfer)}, {"link_frame_rate_hz", textOf(o.linkFrameRate)},
        {"edges", unless(usual.edges, o.edges)}, {"search_ms", unless(usual.searchMs, o.searchMs)},
        {"zero_ms", unless(usual.zeroMs, o.zeroMs)},
        {"zero_uncertainty_ms", unless(usual.zeroUncertaintyMs, o.zeroUncertaintyMs)},
        {"scan", unless(usual.scan, o.scan)}, {"shortest_hold_ms", textOf(o.shortestHoldMs)}};
}

Fields fieldsOf(const Clip& clip, const Session& session)
{
    const Run* run = find(session, clip.run);
    Fields fields {{"file", clip.file.relativePath}, {"sha256", clip.file.sha256},
        {"run", run == nullptr ? std::string() : titleOf(*run, session)},
        {"rig", nameOf(find(session, clip.rig))}};
    append(fields, fieldsOf(clip.options));
    fields.push_back({"measurement", measurementText(clip.measurement)});
    addCorrections(fields, clip);
    fields.push_back({"notes", clip.notes});
    return fields;
}

Fields fieldsOf(const RigCheck& check, const Session& session)
{
    return {{"rig", nameOf(find(session, check.rig))},
        {"kind", std::string(wireName(check.result.kind()))}, {"date", check.date},
        {"file", check.result.file}, {"sha256", check.result.sha256},
        {"figures", figuresText(check.result)}};
}

} // namespace twinlamp::session
