// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/key_reader.h"
#include "core/film/sample_set.h"

#include <algorithm>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::film {

using nlohmann::json;

namespace {

constexpr Bounds positive {0.0, 1e9};

void readOptional(KeyReader& keys, std::string_view key, std::optional<int>& value)
{
    if (keys.has(key)) {
        value = 0;
    }
    int number = 0;
    keys.read(key, number, {1.0, 100'000.0});
    if (value) {
        value = number;
    }
}

SampleSetting readSetting(KeyReader& keys)
{
    SampleSetting setting;
    keys.read("name", setting.name);
    keys.read("link_camera", setting.linkCamera);
    keys.read("link_frame_rate", setting.linkFrameRate, {1.0, 20'000.0});
    readOptional(keys, "width", setting.widthPx);
    readOptional(keys, "height", setting.heightPx);
    keys.read("bit_rate_mbit", setting.bitRateMbit, positive);
    keys.read("channel_width_mhz", setting.channelWidthMhz, positive);
    keys.read("output_power_mw", setting.outputPowerMw, positive);
    keys.read("distance_m", setting.distanceM, positive);
    keys.read("interference", setting.interference);
    keys.read("goggle", setting.goggle);
    keys.read("panel_rate_hz", setting.panelRateHz, positive);
    keys.read("lamp_place", setting.lampPlace);
    keys.read("notes", setting.notes);
    keys.refuseUnknownKeys();
    return setting;
}

SampleClip readClip(KeyReader& keys)
{
    SampleClip clip;
    keys.read("file", clip.file);
    keys.read("scene", clip.scene);
    keys.readObject("changes", clip.changes);
    keys.read("setting", clip.setting);
    keys.read("run", clip.run);
    keys.read("notes", clip.notes);
    keys.refuseUnknownKeys();
    for (const auto& [key, text] : {std::pair {"file", clip.file}, {"scene", clip.scene}}) {
        if (text.empty() || text.find('/') != std::string::npos) {
            keys.complain(key, "must be the name of a file, without a folder");
        }
    }
    return clip;
}

SampleSet readSet(KeyReader& keys)
{
    SampleSet set;
    keys.read("name", set.name);
    keys.read("notes", set.notes);
    keys.read("camera", set.camera);
    keys.read("late_limit_ms", set.lateLimitMs, positive);
    for (KeyReader& child : keys.children("settings")) {
        set.settings.push_back(readSetting(child));
    }
    for (KeyReader& child : keys.children("clips")) {
        set.clips.push_back(readClip(child));
        const std::string& setting = set.clips.back().setting;
        if (!setting.empty()
            && std::ranges::find(set.settings, setting, &SampleSetting::name)
                == set.settings.end()) {
            child.complain("setting", "is \"" + setting + "\", which is none of the settings");
        }
    }
    keys.refuseUnknownKeys();
    return set;
}

} // namespace

Result<SampleSet> loadSampleSet(const std::filesystem::path& manifest)
{
    std::ifstream stream(manifest, std::ios::binary);
    if (!stream) {
        return fail(Stage::Film, Cause::NotFound,
            fmt::format(
                "{}: the list of samples cannot be read. Check the name.", manifest.string()));
    }
    const std::string text(std::istreambuf_iterator<char>(stream), {});
    const json object = json::parse(text, nullptr, false, true);
    if (!object.is_object()) {
        return fail(Stage::Film, Cause::InvalidValue,
            fmt::format(
                "{}: this is no JSON object. Check its commas and braces.", manifest.string()));
    }
    Complaint complaint {manifest.string(), {}, {}};
    KeyReader keys(object, "", complaint);
    SampleSet set = readSet(keys);
    set.folder = manifest.parent_path();
    if (complaint.text) {
        return fail(Stage::Film, Cause::InvalidValue, *complaint.text);
    }
    return set;
}

} // namespace twinlamp::film
