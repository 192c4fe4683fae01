// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/truth.h"

#include <nlohmann/json.hpp>

namespace twinlamp::film {

using Json = nlohmann::ordered_json;

namespace {

template<typename Time> Json msOrNull(const std::optional<Time>& time)
{
    return time ? Json(toMs(*time)) : Json(nullptr);
}

Json rectJson(RectPx rect) { return Json::array({rect.x, rect.y, rect.width, rect.height}); }

Json cornersJson(const QuadPx& quad)
{
    Json corners = Json::array();
    for (const CornerPx corner : quad.corners) {
        corners.push_back({corner.x, corner.y});
    }
    return corners;
}

Json clipJson(const ClipFacts& clip)
{
    return {{"file", clip.file}, {"frames", clip.frames}, {"width", clip.widthPx},
        {"height", clip.heightPx}, {"rotation_deg", clip.rotationDeg},
        {"play_rate_hz", clip.playRateHz}, {"capture_rate_hz", clip.captureRate.hz()},
        {"capture_rate", toText(clip.captureRate)}, {"lost_frames", clip.lostFrames},
        {"exposure_ms", clip.exposureMs.value_or(0.0)},
        {"line_time_us", clip.lineTimeUs.value_or(0.0)}};
}

Json pressJson(const Press& press)
{
    Json flags = Json::array();
    for (const Flag flag : press.flags) {
        flags.push_back(flagId(flag));
    }
    return {{"index", press.index}, {"edge", press.edge == Edge::On ? "on" : "off"},
        {"reference_ms", msOrNull(press.reference)}, {"first_light_ms", msOrNull(press.firstLight)},
        {"half_light_ms", msOrNull(press.halfLight)}, {"settled_ms", msOrNull(press.settled)},
        {"sweep_start_ms", msOrNull(press.sweepStart)},
        {"full_frame_ms", msOrNull(press.fullFrame)}, {"latency_ms", msOrNull(press.latency)},
        {"full_frame_latency_ms", msOrNull(press.fullFrameLatency)}, {"accepted", press.accepted},
        {"flags", flags}};
}

Json directionJson(const std::optional<SweepDirection>& direction)
{
    if (!direction) {
        return nullptr;
    }
    switch (*direction) {
    case SweepDirection::Down:
        return "down";
    case SweepDirection::Up:
        return "up";
    case SweepDirection::LeftToRight:
        return "left-to-right";
    case SweepDirection::RightToLeft:
        return "right-to-left";
    case SweepDirection::AllAtOnce:
        break;
    }
    return "all-at-once";
}

Json timingJson(const std::optional<PanelTiming>& timing)
{
    if (!timing) {
        return nullptr;
    }
    return {{"scan_ms", msOrNull(timing->scan)}, {"direction", directionJson(timing->direction)},
        {"new_frame_ms", msOrNull(timing->newFrameInterval)},
        {"new_frame_hz", 1e3 / toMs(*timing->newFrameInterval)},
        {"refresh_ms", msOrNull(timing->refreshInterval)},
        {"held_share", timing->heldShare ? Json(*timing->heldShare) : Json(nullptr)},
        {"longest_held_ms", msOrNull(timing->longestHeld)}};
}

} // namespace

std::string truthJson(const Truth& truth)
{
    Json presses = Json::array();
    for (std::size_t i = 0; i < truth.presses.size(); ++i) {
        presses.push_back(pressJson(truth.presses[i]));
        if (i < truth.sampling.size()) {
            const Sampling& sampling = truth.sampling[i];
            presses.back()["sampling_phase"] = sampling.phase;
            presses.back()["first_step_share"]
                = sampling.firstStepShare ? Json(*sampling.firstStepShare) : Json(nullptr);
        }
    }
    const RegionSet& regions = truth.regions;
    const Json all {{"tool", "twinlamp"}, {"what", "truth of simulated footage"},
        {"scene", truth.sceneName}, {"seed", truth.seed}, {"clip", clipJson(truth.clip)},
        {"regions",
            {{"reference", rectJson(regions.reference)}, {"goggle", rectJson(regions.goggle)},
                {"panel", regions.panel ? rectJson(*regions.panel) : Json(nullptr)},
                {"panel_corners",
                    regions.panelCorners ? cornersJson(*regions.panelCorners) : Json(nullptr)},
                {"source", "given"}}},
        {"zero_ms", truth.zeroMs}, {"true_capture_rate_hz", truth.trueCaptureRateHz},
        {"link_frame_ms", truth.linkFrameMs}, {"presses", presses},
        {"panel_timing", timingJson(truth.panelTiming)}};
    return all.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::filesystem::path truthPath(const std::filesystem::path& clip)
{
    std::filesystem::path path = clip;
    path += ".truth.json";
    return path;
}

} // namespace twinlamp::film
