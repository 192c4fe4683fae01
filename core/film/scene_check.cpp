// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/scene_check.h"

#include "core/film/lamp_light.h"
#include "core/film/light_maps.h"
#include "core/film/link_model.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <span>
#include <spdlog/fmt/fmt.h>
#include <string>
#include <string_view>

namespace twinlamp::film {

namespace {

constexpr double mostDurationMs = 600'000.0; // as for duration_ms
// What both encoders take; either would complain on the terminal in words of its own.
constexpr std::array<std::string_view, 10> presets {"ultrafast", "superfast", "veryfast", "faster",
    "fast", "medium", "slow", "slower", "veryslow", "placebo"};
constexpr double slackMs = 1e-6; // a rate written with few decimals may not fail its own interval

void checkCamera(const Scene& scene, Complaint& complaint)
{
    const Camera& camera = scene.camera;
    const double intervalMs = camera.captureRate.intervalMs();
    if (camera.exposureMs > intervalMs + slackMs) {
        complaint.add("camera.exposure_ms",
            fmt::format("is {} but the frame interval is {:.3f} ms: shorten the exposure or lower "
                        "camera.capture_rate",
                camera.exposureMs, intervalMs));
    }
    const int storedRows = scene.file.rotationDeg % 180 == 0 ? scene.heightPx : scene.widthPx;
    const double readMs = std::abs(camera.lineTimeUs) * 1e-3 * (storedRows - 1);
    if (readMs > intervalMs + slackMs) {
        complaint.add("camera.line_time_us",
            fmt::format("is {}, so reading {} rows takes {:.3f} ms, longer than the frame interval "
                        "of {:.3f} ms",
                camera.lineTimeUs, storedRows, readMs, intervalMs));
    }
    if (camera.bitDepth != 8 && camera.bitDepth != 10) {
        complaint.add("camera.bit_depth", fmt::format("is {}; it can be 8 or 10", camera.bitDepth));
    }
    if (camera.shake.highHz < camera.shake.lowHz) {
        complaint.add("camera.shake.high_hz", "is below camera.shake.low_hz");
    }
}

void checkLinkCamera(const LinkCamera& camera, Complaint& complaint)
{
    const double intervalMs = camera.frameRate.intervalMs();
    if (camera.exposureMs > intervalMs + slackMs) {
        complaint.add("link_camera.exposure_ms",
            fmt::format("is {} but the link's frame interval is {:.3f} ms: shorten the exposure or "
                        "lower link_camera.frame_rate",
                camera.exposureMs, intervalMs));
    }
    if (camera.readoutMs > intervalMs + slackMs) {
        complaint.add("link_camera.readout_ms",
            fmt::format("is {}, longer than the link's frame interval of {:.3f} ms",
                camera.readoutMs, intervalMs));
    }
}

void checkPanel(const Scene& scene, Complaint& complaint)
{
    const Panel& panel = scene.panel;
    const double intervalMs = panel.refresh == RefreshKind::Free
        ? panel.refreshRate.intervalMs()
        : scene.linkCamera.frameRate.intervalMs();
    if (panel.direction != Direction::AllAtOnce && panel.scanMs > intervalMs + slackMs) {
        complaint.add("panel.scan_ms",
            fmt::format(
                "is {} but the panel is redrawn every {:.3f} ms", panel.scanMs, intervalMs));
    }
    const double earliest = earliestRowSlackMs(scene);
    if (earliest < -slackMs) {
        complaint.add("link.delay_ms",
            fmt::format("is {}: the panel would show some rows {:.3f} ms before the link camera "
                        "has read them; raise it or lower link_camera.readout_ms",
                scene.link.delayMs, -earliest));
    }
    if (intersection(panel.rect, {0, 0, scene.widthPx, scene.heightPx}).isEmpty()) {
        complaint.add("panel.rect", "lies outside the picture");
    }
    if (panel.corners && !(visiblePanel(scene) == panel.rect)) {
        complaint.add("panel.corners", "reach out of the picture; only panel.rect may do so");
    }
    if (panel.strobe) {
        const double periodMs
            = panel.strobe->clock == StrobeClock::Own ? panel.strobe->periodMs : intervalMs;
        if (panel.strobe->widthMs >= periodMs) {
            complaint.add("panel.strobe.width_ms",
                fmt::format("is {}; it must be shorter than the strobe's period of {:.3f} ms",
                    panel.strobe->widthMs, periodMs));
        }
    }
}

void checkLamps(const Scene& scene, Complaint& complaint)
{
    const Lamps& lamps = scene.lamps;
    const auto& edges = lamps.programme.edgesMs;
    if (lamps.programme.kind == ProgrammeKind::List && edges.empty()) {
        complaint.add("lamps.programme.edges_ms",
            "is empty; list the instants at which the lamps "
            "switch");
    }
    if (std::ranges::adjacent_find(edges, std::greater_equal<> {}) != edges.end()) {
        complaint.add("lamps.programme.edges_ms", "must rise from each instant to the next");
    }
    const double spanMs = sceneDurationMs(scene, lampEdges(scene));
    if (spanMs > mostDurationMs) {
        complaint.add("lamps.programme",
            fmt::format("lasts {:.0f} s; a clip may last {:.0f} s: lower its number of presses or "
                        "give duration_ms",
                spanMs * 1e-3, mostDurationMs * 1e-3));
    }
    if (lamps.pwm && (lamps.riseMs > 0.0 || lamps.fallMs > 0.0)) {
        complaint.add("lamps.pwm", "cannot go together with lamps.rise_ms or lamps.fall_ms");
    }
    const Spot& lamp = scene.referenceLamp;
    if (lamp.x < 0.0 || lamp.y < 0.0 || lamp.x > scene.widthPx || lamp.y > scene.heightPx) {
        complaint.add(
            "reference_lamp", fmt::format("lies at {}, {}, outside the picture", lamp.x, lamp.y));
    }
}

std::string words(std::span<const std::string_view> list)
{
    std::string text;
    for (const std::string_view word : list) {
        text += text.empty() ? "" : ", ";
        text += word;
    }
    return text;
}

void checkRegions(const Scene& scene, Complaint& complaint)
{
    const RectPx picture {0, 0, scene.widthPx, scene.heightPx};
    const auto check = [&](std::string_view key, const std::optional<RectPx>& region) {
        if (region && intersection(*region, picture) != *region) {
            complaint.add(key,
                fmt::format(
                    "reaches out of the picture of {} x {} pixels", scene.widthPx, scene.heightPx));
        }
    };
    check("regions.reference", scene.referenceRegion);
    check("regions.goggle", scene.goggleRegion);
}

/// Each family of encoders has a scale of its own.
void checkQuality(const ClipFile& file, Complaint& complaint)
{
    const bool byScale = file.codec == Codec::Mjpeg || file.codec == Codec::Mpeg4;
    const bool byFactor = file.codec == Codec::H264 || file.codec == Codec::Hevc;
    const int low = byScale ? 2 : 0;
    const int high = byScale ? 31 : byFactor ? 51 : 63;
    if (file.quality < low || file.quality > high) {
        complaint.add("file.quality",
            fmt::format(
                "is {}; with this codec it must be between {} and {}", file.quality, low, high));
    }
}

void checkFile(const Scene& scene, Complaint& complaint)
{
    const ClipFile& file = scene.file;
    if (std::ranges::find(presets, file.preset) == presets.end()) {
        complaint.add("file.preset",
            fmt::format("is \"{}\"; it can be one of {}", file.preset, words(presets)));
    }
    checkQuality(file, complaint);
    if (file.rotationDeg % 90 != 0) {
        complaint.add("file.rotation_deg",
            fmt::format("is {}; it can be 0, 90, 180 or 270", file.rotationDeg));
    }
    if (scene.widthPx % 2 != 0 || scene.heightPx % 2 != 0) {
        complaint.add("picture", "must have an even width and height");
    }
    const bool deep
        = file.codec == Codec::H264 || file.codec == Codec::Hevc || file.codec == Codec::Ffv1;
    if (scene.camera.bitDepth == 10 && !deep) {
        complaint.add("camera.bit_depth", "can be 10 with h264, hevc and ffv1 only");
    }
    const bool reordering
        = file.codec == Codec::H264 || file.codec == Codec::Hevc || file.codec == Codec::Mpeg4;
    if (file.bFrames > 0 && !reordering) {
        complaint.add("file.b_frames", "needs one of the codecs h264, hevc, mpeg4");
    }
    if (file.codec == Codec::Mjpeg && !scene.camera.fullRange) {
        complaint.add("camera.full_range",
            "must be true with the codec mjpeg, which has full range "
            "only");
    }
}

} // namespace

void checkScene(const Scene& scene, Complaint& complaint)
{
    checkCamera(scene, complaint);
    checkLinkCamera(scene.linkCamera, complaint);
    checkPanel(scene, complaint);
    checkLamps(scene, complaint);
    checkRegions(scene, complaint);
    checkFile(scene, complaint);
}

} // namespace twinlamp::film
