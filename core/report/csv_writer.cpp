// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/csv_writer.h"

#include "core/base/version.h"
#include "core/base/wire_names.h"
#include "core/report/figure_text.h"

namespace twinlamp::report {

namespace {

template<typename Time> std::string timeText(const std::optional<Time>& time)
{
    return time ? exactMsText(time->ns) : std::string();
}

std::string quoted(std::string_view field)
{
    if (field.find_first_of(",\"\r\n") == std::string_view::npos) {
        return std::string(field);
    }
    std::string text = "\"";
    for (const char c : field) {
        text += c;
        if (c == '"') {
            text += '"';
        }
    }
    return text + "\"";
}

std::string flagsText(const Flags& flags)
{
    std::string text;
    for (const Flag flag : flags) {
        text += (text.empty() ? "" : " ") + std::string(flagId(flag));
    }
    return text;
}

std::string setAsideText(const Press& press)
{
    const Flags reasons = reasonsSetAside(press);
    return press.accepted ? std::string() : reasons.empty() ? "by-hand" : flagsText(reasons);
}

std::vector<std::string> pressFields(const Press& press)
{
    return {
        std::to_string(press.index),
        std::string(wireName(press.edge)),
        timeText(press.reference),
        timeText(press.firstLight),
        timeText(press.halfLight),
        timeText(press.settled),
        timeText(press.sweepStart),
        timeText(press.fullFrame),
        timeText(press.latency),
        timeText(press.fullFrameLatency),
        timeText(press.uncertainty),
        press.accepted ? "yes" : "no",
        flagsText(press.flags),
        setAsideText(press),
    };
}

std::vector<std::string> clipFields(const ClipFacts& clip)
{
    return {
        clip.file,
        clip.sha256,
        twinlamp::toText(clip.captureRate),
        std::string(wireName(clip.captureRateSource)),
        clip.exposureMs ? exactMsText(latencyFromMs(*clip.exposureMs).ns) : std::string(),
        std::string(wireName(clip.exposureSource)),
        std::string(version()),
    };
}

} // namespace

std::string csvRecord(const std::vector<std::string>& fields)
{
    std::string record;
    for (std::size_t i = 0; i < fields.size(); ++i) {
        record += (i == 0 ? "" : ",") + quoted(fields[i]);
    }
    return record + "\r\n";
}

std::string pressesCsv(const ClipResult& result)
{
    std::string text = csvRecord({"index", "edge", "reference_ms", "first_light_ms",
        "half_light_ms", "settled_ms", "sweep_start_ms", "full_frame_ms", "latency_ms",
        "full_frame_latency_ms", "uncertainty_ms", "accepted", "flags", "set_aside_because", "clip",
        "clip_sha256", "capture_rate_hz", "capture_rate_source", "exposure_ms", "exposure_source",
        "twinlamp_version"});
    const std::vector<std::string> clip = clipFields(result.clip);
    for (const Press& press : result.presses) {
        std::vector<std::string> fields = pressFields(press);
        fields.insert(fields.end(), clip.begin(), clip.end());
        text += csvRecord(fields);
    }
    return text;
}

} // namespace twinlamp::report
