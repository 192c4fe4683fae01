// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/json_writer.h"

#include "core/base/version.h"
#include "core/base/wire_names.h"
#include "core/report/figure_text.h"
#include "core/report/summary_details_json.h"

#include <algorithm>
#include <iterator>

namespace twinlamp::report {

namespace {

Json msOrNull(std::optional<double> ms) { return ms ? Json(roundedMs(*ms)) : Json(nullptr); }

template<typename Time> Json timeOrNull(const std::optional<Time>& time)
{
    return time ? Json(roundedMs(toMs(*time))) : Json(nullptr);
}

template<typename T> Json valueOrNull(const std::optional<T>& value)
{
    return value ? Json(*value) : Json(nullptr);
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

Json regionsJson(const RegionSet& regions)
{
    return {
        {"reference", rectJson(regions.reference)},
        {"goggle", rectJson(regions.goggle)},
        {"panel", regions.panel ? rectJson(*regions.panel) : Json(nullptr)},
        {"panel_corners",
            regions.panelCorners ? cornersJson(*regions.panelCorners) : Json(nullptr)},
        {"source", wireName(regions.source)},
    };
}

Json scanJson(const ScanFacts& scan)
{
    return {
        {"mode", wireName(scan.mode)},
        {"frames_decoded", scan.framesDecoded},
        {"seconds", roundedMs(scan.seconds)},
        {"shortest_hold_ms", roundedMs(scan.shortestHoldMs)},
    };
}

Json flagsJson(const Flags& flags)
{
    Json ids = Json::array();
    for (const Flag flag : flags) {
        ids.push_back(flagId(flag));
    }
    return ids;
}

/// The words of every flag that a press or the panel of the clip carries, by its id.
Json flagWordsJson(const ClipResult& result)
{
    Flags flags = flagsOf(result.presses);
    if (result.panelTiming) {
        std::ranges::copy(panelDoubts(*result.panelTiming), std::back_inserter(flags));
    }
    Json words = Json::object();
    for (const Flag flag : flags) {
        const FlagWords of = flagWords(flag);
        words[std::string(flagId(flag))]
            = {{"seen", of.seen}, {"effect", of.effect}, {"remedy", of.remedy}};
    }
    return words;
}

} // namespace

Json panelTimingJson(const PanelTiming& timing)
{
    std::optional<double> newFrameHz;
    if (timing.newFrameInterval && timing.newFrameInterval->ns > 0) {
        newFrameHz = 1e3 / toMs(*timing.newFrameInterval);
    }
    return {
        {"scan_ms", timeOrNull(timing.scan)},
        {"direction", timing.direction ? Json(wireName(*timing.direction)) : Json(nullptr)},
        {"new_frame_ms", timeOrNull(timing.newFrameInterval)},
        {"new_frame_hz", msOrNull(newFrameHz)},
        {"new_frame_uncertainty_ms", msOrNull(timing.newFrameUncertaintyMs)},
        {"refresh_ms", timeOrNull(timing.refreshInterval)},
        {"held_share", msOrNull(timing.heldShare)},
        {"longest_held_ms", timeOrNull(timing.longestHeld)},
        {"signs", timing.signs},
        {"flags", flagsJson(panelDoubts(timing))},
    };
}

Json clipJson(const ClipFacts& clip)
{
    return {
        {"file", clip.file},
        {"sha256", clip.sha256},
        {"frames", clip.frames},
        {"width", clip.widthPx},
        {"height", clip.heightPx},
        {"rotation_deg", clip.rotationDeg},
        {"play_rate_hz", clip.playRateHz},
        {"capture_rate_hz", clip.captureRate.hz()},
        {"capture_rate_source", wireName(clip.captureRateSource)},
        {"lost_frames", clip.lostFrames},
        {"exposure_ms", msOrNull(clip.exposureMs)},
        {"exposure_source", wireName(clip.exposureSource)},
        {"line_time_us", valueOrNull(clip.lineTimeUs)},
        {"line_time_source", wireName(clip.lineTimeSource)},
    };
}

Json pressJson(const Press& press)
{
    return {
        {"index", press.index},
        {"edge", wireName(press.edge)},
        {"reference_ms", timeOrNull(press.reference)},
        {"first_light_ms", timeOrNull(press.firstLight)},
        {"half_light_ms", timeOrNull(press.halfLight)},
        {"settled_ms", timeOrNull(press.settled)},
        {"sweep_start_ms", timeOrNull(press.sweepStart)},
        {"full_frame_ms", timeOrNull(press.fullFrame)},
        {"latency_ms", timeOrNull(press.latency)},
        {"full_frame_latency_ms", timeOrNull(press.fullFrameLatency)},
        {"uncertainty_ms", timeOrNull(press.uncertainty)},
        {"accepted", press.accepted},
        {"flags", flagsJson(press.flags)},
        {"set_aside_because", flagsJson(reasonsSetAside(press))},
    };
}

Json summaryJson(const stats::Summary& summary)
{
    return {
        {"n", summary.n},
        {"median_ms", msOrNull(summary.medianMs)},
        {"median_low_ms", msOrNull(summary.medianLowMs)},
        {"median_high_ms", msOrNull(summary.medianHighMs)},
        {"mean_ms", msOrNull(summary.meanMs)},
        {"sd_ms", msOrNull(summary.sdMs)},
        {"link_spread_ms", msOrNull(summary.linkSpreadMs)},
        {"link_spread_low_ms", msOrNull(summary.linkSpreadLowMs)},
        {"link_spread_high_ms", msOrNull(summary.linkSpreadHighMs)},
        {"sawtooth_period_ms", msOrNull(summary.sawtoothPeriodMs)},
        {"p5_ms", msOrNull(summary.p5Ms)},
        {"p95_ms", msOrNull(summary.p95Ms)},
        {"max_ms", msOrNull(summary.maxMs)},
        {"no_response", summary.noResponse},
        {"late", valueOrNull(summary.late)},
        {"late_share", valueOrNull(summary.lateShare)},
        {"late_low", valueOrNull(summary.lateLow)},
        {"late_high", valueOrNull(summary.lateHigh)},
        {"late_limit_ms", timeOrNull(summary.lateLimit)},
        {"iqr_ms", msOrNull(summary.iqrMs)},
        {"largest_measured_ms", msOrNull(summary.largestMeasuredMs)},
        {"set_aside", summary.setAside},
    };
}

namespace {

Json clipSummaryJson(const stats::Summary& summary, const SummaryMore& more)
{
    Json json = summaryJson(summary);
    addDetails(json, more.details);
    json["outliers"] = Json::array();
    for (const stats::NamedOutlier& outlier : more.details.outliers) {
        json["outliers"].push_back(outlierJson(outlier));
    }
    addTimes(json, more.times);
    return json;
}

} // namespace

Json measurementJson(const ClipResult& result, const MeasurementFigures& figures)
{
    Json presses = Json::array();
    for (const Press& press : result.presses) {
        presses.push_back(pressJson(press));
    }
    Json notes = Json::array();
    for (const Sentence& note : figures.notes) {
        notes.push_back(english(note));
    }
    return {
        {"tool", "twinlamp"},
        {"version", version()},
        {"clip", clipJson(result.clip)},
        {"regions", regionsJson(result.regions)},
        {"scan", scanJson(result.scan)},
        {"presses", std::move(presses)},
        {"flag_words", flagWordsJson(result)},
        {"panel_timing", result.panelTiming ? panelTimingJson(*result.panelTiming) : Json(nullptr)},
        {"summary", clipSummaryJson(figures.on, figures.onMore)},
        {"summary_off", clipSummaryJson(figures.off, figures.offMore)},
        {"full_frame_summary", clipSummaryJson(figures.fullFrame, figures.fullFrameMore)},
        {"notes", std::move(notes)},
    };
}

std::string toText(const Json& json)
{
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace twinlamp::report
