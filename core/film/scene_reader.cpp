// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/scene_reader.h"

#include "core/film/key_reader.h"
#include "core/film/scene_check.h"

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>

namespace twinlamp::film {

using nlohmann::json;

namespace {

constexpr Bounds timeMs {0.0, 600'000.0};
constexpr Bounds share {0.0, 1.0};
constexpr Bounds brightness {0.0, 20.0}; // light over full scale clips: a lamp may do that
constexpr Bounds sizePx {0.0, 4096.0};
constexpr Bounds rateHz {1.0, 20'000.0};

constexpr auto sides = std::to_array<Word<Side>>(
    {{"left", Side::Left}, {"right", Side::Right}, {"top", Side::Top}, {"bottom", Side::Bottom}});
constexpr auto followers
    = std::to_array<Word<Follows>>({{"lamp", Follows::Lamp}, {"panel", Follows::Panel}});
constexpr auto programmes = std::to_array<Word<ProgrammeKind>>({{"list", ProgrammeKind::List},
    {"random", ProgrammeKind::Random}, {"periodic", ProgrammeKind::Periodic}});
constexpr auto jitters
    = std::to_array<Word<JitterKind>>({{"none", JitterKind::None}, {"uniform", JitterKind::Uniform},
        {"normal", JitterKind::Normal}, {"exponential", JitterKind::Exponential}});
constexpr auto directions = std::to_array<Word<Direction>>(
    {{"down", Direction::Down}, {"up", Direction::Up}, {"left-to-right", Direction::LeftToRight},
        {"right-to-left", Direction::RightToLeft}, {"all-at-once", Direction::AllAtOnce}});
constexpr auto refreshes = std::to_array<Word<RefreshKind>>(
    {{"on-arrival", RefreshKind::OnArrival}, {"free", RefreshKind::Free}});
constexpr auto strobeClocks = std::to_array<Word<StrobeClock>>(
    {{"own", StrobeClock::Own}, {"refresh", StrobeClock::Refresh}});
constexpr auto transfers = std::to_array<Word<Transfer>>(
    {{"bt709", Transfer::Bt709}, {"srgb", Transfer::Srgb}, {"gamma22", Transfer::Gamma22},
        {"gamma28", Transfer::Gamma28}, {"hlg", Transfer::Hlg}, {"pq", Transfer::Pq}});
constexpr auto matrices = std::to_array<Word<Matrix>>(
    {{"bt709", Matrix::Bt709}, {"bt601", Matrix::Bt601}, {"bt2020", Matrix::Bt2020}});
constexpr auto codecs = std::to_array<Word<Codec>>(
    {{"h264", Codec::H264}, {"hevc", Codec::Hevc}, {"mjpeg", Codec::Mjpeg}, {"vp9", Codec::Vp9},
        {"av1", Codec::Av1}, {"mpeg4", Codec::Mpeg4}, {"ffv1", Codec::Ffv1}});
constexpr auto views
    = std::to_array<Word<GoggleView>>({{"link", GoggleView::Link}, {"direct", GoggleView::Direct}});

void readSpot(KeyReader& keys, Spot& spot, Bounds place)
{
    keys.read("x", spot.x, place);
    keys.read("y", spot.y, place);
    keys.read("radius_px", spot.radiusPx, {0.5, sizePx.high});
    keys.read("soft_edge_px", spot.softEdgePx, sizePx);
    keys.read("brightness", spot.brightness, brightness);
    keys.read("colour", spot.colour);
    keys.read("halo_brightness", spot.haloBrightness, brightness);
    keys.read("halo_px", spot.haloPx, {0.5, sizePx.high});
    keys.readWord<Side>("covered_side", spot.coveredSide, sides);
    keys.read("covered_share", spot.coveredShare, share);
}

void readProgramme(KeyReader& keys, Programme& programme)
{
    keys.readWord<ProgrammeKind>("kind", programme.kind, programmes);
    keys.read("start_lit", programme.startLit);
    keys.read("edges_ms", programme.edgesMs, timeMs);
    keys.read("presses", programme.presses, {1.0, 100'000.0});
    keys.read("start_ms", programme.startMs, timeMs);
    keys.read("hold_ms", programme.holdMs, {0.1, timeMs.high});
    keys.read("gap_ms", programme.gapMs, {0.1, timeMs.high});
    keys.read("period_ms", programme.periodMs, {1.0, timeMs.high});
    keys.refuseUnknownKeys();
}

void readPulses(KeyReader& keys, std::optional<PulseSpec>& pulses)
{
    if (auto child = keys.child("pwm")) {
        pulses.emplace();
        child->read("period_ms", pulses->periodMs, {0.02, 100.0});
        child->read("duty", pulses->duty, {0.01, 0.99});
        child->refuseUnknownKeys();
    }
}

void readLamps(KeyReader& keys, Lamps& lamps)
{
    if (auto child = keys.child("programme")) {
        readProgramme(*child, lamps.programme);
    }
    keys.read("rise_ms", lamps.riseMs, {0.0, 1000.0});
    keys.read("fall_ms", lamps.fallMs, {0.0, 1000.0});
    readPulses(keys, lamps.pwm);
    keys.read("skew_ms", lamps.skewMs, {-100.0, 100.0});
    keys.refuseUnknownKeys();
}

void readRoom(KeyReader& keys, Room& room)
{
    keys.read("brightness", room.brightness, share);
    keys.read("texture_contrast", room.textureContrast, share);
    keys.read("texture_px", room.texturePx, {2.0, 512.0});
    keys.read("mains_hz", room.mainsHz, {0.0, 1000.0});
    keys.read("flicker_depth", room.flickerDepth, share);
    keys.refuseUnknownKeys();
}

void readLinkCamera(KeyReader& keys, LinkCamera& camera)
{
    keys.read("frame_rate", camera.frameRate, rateHz);
    keys.read("exposure_ms", camera.exposureMs, {0.001, 1000.0});
    keys.read("readout_ms", camera.readoutMs, {0.0, 1000.0});
    keys.read("phase_ms", camera.phase, {0.0, 1000.0});
    keys.read("clock_ppm", camera.clockPpm, {-50'000.0, 50'000.0});
    keys.read("gain", camera.gain, {0.01, 100.0});
    keys.refuseUnknownKeys();
}

void readLink(KeyReader& keys, Link& link)
{
    keys.read("delay_ms", link.delayMs, {0.0, 2000.0});
    keys.readWord<JitterKind>("jitter", link.jitter, jitters);
    keys.read("jitter_ms", link.jitterMs, {0.0, 1000.0});
    keys.read("late_share", link.lateShare, share);
    keys.read("late_ms", link.lateMs, {0.0, 2000.0});
    keys.read("lost_share", link.lostShare, share);
    keys.read("lost_burst", link.lostBurst, {1.0, 1000.0});
    keys.read("lost_frames", link.lostFrames);
    keys.refuseUnknownKeys();
}

void readStrobe(KeyReader& keys, std::optional<Strobe>& strobe)
{
    if (auto child = keys.child("strobe")) {
        strobe.emplace();
        child->readWord<StrobeClock>("clock", strobe->clock, strobeClocks);
        child->read("period_ms", strobe->periodMs, {0.05, 1000.0});
        child->read("width_ms", strobe->widthMs, {0.01, 1000.0});
        child->read("phase_ms", strobe->phase, {0.0, 1000.0});
        child->read("rolling", strobe->rolling);
        child->refuseUnknownKeys();
    }
}

void readPanel(KeyReader& keys, Panel& panel)
{
    keys.read("rect", panel.rect);
    keys.read("corners", panel.corners);
    if (panel.corners) {
        panel.rect = boundingRect(*panel.corners);
    }
    keys.read("brightness", panel.brightness, brightness);
    keys.read("texture_contrast", panel.textureContrast, share);
    keys.read("texture_px", panel.texturePx, {2.0, 512.0});
    keys.read("move_px", panel.movePx, {-256.0, 256.0});
    keys.read("scan_ms", panel.scanMs, {0.0, 1000.0});
    keys.readWord<Direction>("direction", panel.direction, directions);
    keys.readWord<RefreshKind>("refresh", panel.refresh, refreshes);
    keys.read("refresh_rate", panel.refreshRate, rateHz);
    keys.read("refresh_phase_ms", panel.refreshPhase, {0.0, 1000.0});
    keys.read("rise_ms", panel.riseMs, {0.0, 1000.0});
    keys.read("fall_ms", panel.fallMs, {0.0, 1000.0});
    keys.read("overdrive", panel.overdrive, {0.0, 1.0});
    readStrobe(keys, panel.strobe);
    if (auto child = keys.child("lamp_image")) {
        readSpot(*child, panel.lampImage, share);
        child->refuseUnknownKeys();
    }
    keys.read("spill", panel.spill, brightness);
    keys.refuseUnknownKeys();
}

void readCamera(KeyReader& keys, Camera& camera)
{
    keys.read("capture_rate", camera.captureRate, rateHz);
    keys.read("rate_error_ppm", camera.rateErrorPpm, {-50'000.0, 50'000.0});
    keys.read("exposure_ms", camera.exposureMs, {0.001, 1000.0});
    keys.read("line_time_us", camera.lineTimeUs, {-1000.0, 1000.0});
    keys.read("shot_noise", camera.shotNoise, share);
    keys.read("read_noise", camera.readNoise, share);
    keys.readWord<Transfer>("transfer", camera.transfer, transfers);
    const bool wide = camera.transfer == Transfer::Hlg || camera.transfer == Transfer::Pq;
    camera.matrix = wide ? Matrix::Bt2020 : Matrix::Bt709;
    keys.readWord<Matrix>("matrix", camera.matrix, matrices);
    keys.read("full_range", camera.fullRange);
    keys.read("tag_colour", camera.tagColour);
    keys.read("bit_depth", camera.bitDepth, {8.0, 10.0});
    keys.read("pq_peak", camera.pqPeak, {50.0, 10'000.0});
    if (auto child = keys.child("shake")) {
        child->read("amplitude_px", camera.shake.amplitudePx, {0.0, 64.0});
        child->read("low_hz", camera.shake.lowHz, {0.01, 1000.0});
        child->read("high_hz", camera.shake.highHz, {0.01, 1000.0});
        child->refuseUnknownKeys();
    }
    if (auto child = keys.child("lost")) {
        child->read("share", camera.loss.share, share);
        child->read("burst", camera.loss.burst, {1.0, 1000.0});
        child->read("frames", camera.loss.frames);
        child->refuseUnknownKeys();
    }
    keys.refuseUnknownKeys();
}

void readFile(KeyReader& keys, ClipFile& file)
{
    keys.readWord<Codec>("codec", file.codec, codecs);
    keys.read("play_rate", file.playRate, rateHz);
    keys.read("rotation_deg", file.rotationDeg, {0.0, 270.0});
    keys.read("capture_rate_tag", file.captureRateTag);
    keys.read("gop", file.gop, {1.0, 10'000.0});
    keys.read("b_frames", file.bFrames, {0.0, 8.0});
    keys.read("open_gop", file.openGop);
    keys.read("quality", file.quality, {0.0, 63.0});
    keys.read("bit_rate_kbit", file.bitRateKbit, {0.0, 1e6});
    keys.read("preset", file.preset);
    keys.read("hidden_frames", file.hiddenFrames, {0.0, 10'000.0});
    keys.read("start_offset_ms", file.startOffsetMs, timeMs);
    keys.read("stamp_wobble", file.stampWobble, {0.0, 0.45});
    keys.read("frame_marks", file.frameMarks);
    keys.refuseUnknownKeys();
}

void readPicture(KeyReader& keys, Scene& scene)
{
    keys.read("width", scene.widthPx, {64.0, 4096.0});
    keys.read("height", scene.heightPx, {64.0, 4096.0});
    keys.refuseUnknownKeys();
}

void readRegions(KeyReader& keys, Scene& scene)
{
    keys.read("reference", scene.referenceRegion);
    keys.read("goggle", scene.goggleRegion);
    keys.refuseUnknownKeys();
}

void readDecoys(KeyReader& keys, Scene& scene)
{
    for (KeyReader& child : keys.children("decoys")) {
        Decoy decoy;
        child.readWord<Follows>("follows", decoy.follows, followers);
        readSpot(child, decoy.spot, {-sizePx.high, sizePx.high});
        child.refuseUnknownKeys();
        scene.decoys.push_back(decoy);
    }
}

template<typename Part, typename Reader>
void readPart(KeyReader& keys, std::string_view key, Part& part, Reader reader)
{
    if (auto child = keys.child(key)) {
        reader(*child, part);
    }
}

void readScene(KeyReader& keys, Scene& scene)
{
    keys.read("name", scene.name);
    std::string notes;
    keys.read("notes", notes); // for the reader of the file
    keys.read("seed", scene.seed);
    keys.read("duration_ms", scene.durationMs, {10.0, timeMs.high});
    keys.readWord<GoggleView>("view", scene.view, views);
    readPart(keys, "picture", scene, readPicture);
    readPart(keys, "lamps", scene.lamps, readLamps);
    readPart(keys, "reference_lamp", scene.referenceLamp, [](KeyReader& child, Spot& spot) {
        readSpot(child, spot, {-sizePx.high, sizePx.high});
        child.refuseUnknownKeys();
    });
    readDecoys(keys, scene);
    readPart(keys, "room", scene.room, readRoom);
    readPart(keys, "link_camera", scene.linkCamera, readLinkCamera);
    readPart(keys, "link", scene.link, readLink);
    readPart(keys, "panel", scene.panel, readPanel);
    readPart(keys, "file", scene.file, readFile);
    scene.camera.fullRange = scene.file.codec == Codec::Mjpeg; // it has no other
    readPart(keys, "camera", scene.camera, readCamera);
    readPart(keys, "regions", scene, readRegions);
    keys.refuseUnknownKeys();
}

} // namespace

Result<Scene> sceneFromJson(const json& object, std::string_view fileName)
{
    Complaint complaint {std::string(fileName), {}, {}};
    Scene scene;
    KeyReader keys(object, "", complaint);
    readScene(keys, scene);
    if (!complaint.text) {
        checkScene(scene, complaint);
    }
    if (complaint.text) {
        return fail(Stage::Film, Cause::InvalidValue, *complaint.text);
    }
    return scene;
}

std::vector<std::string> sceneKeys()
{
    const json whole = json::parse(R"({"picture":{}, "lamps":{"programme":{}, "pwm":{}},
        "reference_lamp":{}, "room":{}, "link_camera":{}, "link":{},
        "panel":{"strobe":{}, "lamp_image":{}}, "camera":{"shake":{}, "lost":{}}, "file":{},
        "regions":{}})");
    Complaint complaint {"", {}, {}};
    Scene scene;
    KeyReader keys(whole, "", complaint);
    readScene(keys, scene);
    std::vector<std::string> names;
    for (const std::string& name : complaint.asked) {
        std::string path = "/" + name;
        std::ranges::replace(path, '.', '/');
        const json::json_pointer place(path);
        if (name != "decoys" && !(whole.contains(place) && whole.at(place).is_object())) {
            names.push_back(name);
        }
    }
    return names;
}

} // namespace twinlamp::film
