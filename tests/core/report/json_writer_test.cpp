// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/json_writer.h"
#include "tests/core/report/measurement_sample.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace twinlamp::report {
namespace {

using ::testing::ElementsAre;
using ::testing::IsSupersetOf;

std::vector<std::string> keysOf(const Json& json)
{
    std::vector<std::string> keys;
    for (const auto& item : json.items()) {
        keys.push_back(item.key());
    }
    return keys;
}

Json sampleJson()
{
    const ClipResult result = samples::hangarClip();
    const stats::SummaryOptions options {latencyFromMs(36.0), FrameRate {60, 1}};
    return Json::parse(toText(measurementJson(result, measurementFigures(result, options))));
}

/// The keys that the command line's description promises, in its words.
TEST(MeasurementJson, HasEveryPromisedKey)
{
    const Json json = sampleJson();
    EXPECT_THAT(keysOf(json),
        ElementsAre("tool", "version", "clip", "regions", "scan", "presses", "flag_words",
            "panel_timing", "summary", "summary_off", "full_frame_summary", "notes"));
    EXPECT_THAT(keysOf(json["clip"]),
        IsSupersetOf({"file", "sha256", "frames", "width", "height", "rotation_deg", "play_rate_hz",
            "capture_rate_hz", "capture_rate_source", "lost_frames", "exposure_ms",
            "exposure_source"}));
    EXPECT_THAT(keysOf(json["regions"]),
        ElementsAre("reference", "goggle", "panel", "panel_corners", "source"));
    EXPECT_THAT(
        keysOf(json["scan"]), ElementsAre("mode", "frames_decoded", "seconds", "shortest_hold_ms"));
    EXPECT_THAT(keysOf(json["presses"][0]),
        ElementsAre("index", "edge", "reference_ms", "first_light_ms", "half_light_ms",
            "settled_ms", "sweep_start_ms", "full_frame_ms", "latency_ms", "full_frame_latency_ms",
            "uncertainty_ms", "accepted", "flags", "set_aside_because"));
    EXPECT_THAT(keysOf(json["panel_timing"]),
        ElementsAre("scan_ms", "direction", "new_frame_ms", "new_frame_hz",
            "new_frame_uncertainty_ms", "refresh_ms", "held_share", "longest_held_ms", "signs",
            "flags"));
    for (const char* summary : {"summary", "summary_off", "full_frame_summary"}) {
        EXPECT_THAT(keysOf(json[summary]),
            IsSupersetOf({"n", "median_ms", "median_low_ms", "median_high_ms", "mean_ms", "sd_ms",
                "link_spread_ms", "link_spread_low_ms", "link_spread_high_ms", "p5_ms", "p95_ms",
                "max_ms", "no_response", "late", "late_share", "late_low", "late_high"}));
    }
}

TEST(MeasurementJson, SummaryFollowsFromItsPresses)
{
    const Json json = sampleJson();
    int n = 0;
    int lost = 0;
    int late = 0;
    for (const Json& press : json["presses"]) {
        if (press["edge"] == "off" && press["accepted"].get<bool>()) {
            const bool answered = !press["latency_ms"].is_null();
            n += answered ? 1 : 0;
            lost += answered ? 0 : 1;
            late += !answered || press["latency_ms"].get<double>() > 36.0 ? 1 : 0;
        }
    }
    const Json& summary = json["summary_off"];
    EXPECT_EQ(summary["n"], n);
    EXPECT_EQ(summary["no_response"], lost);
    EXPECT_EQ(summary["late"], late);
    EXPECT_DOUBLE_EQ(summary["late_share"].get<double>(), static_cast<double>(late) / (n + lost));
    EXPECT_TRUE(summary["max_ms"].is_null()) << "an answer was lost";
}

TEST(MeasurementJson, UnmeasuredIsNullWithAFlag)
{
    const Json json = sampleJson();
    const Json& lost = json["presses"][5];
    EXPECT_TRUE(lost["latency_ms"].is_null());
    EXPECT_TRUE(lost["first_light_ms"].is_null());
    EXPECT_EQ(lost["flags"], Json::array({"no-response"}));
    EXPECT_EQ(lost["set_aside_because"], Json::array());
    EXPECT_EQ(json["presses"][8]["set_aside_because"], Json::array({"ambiguous-pairing"}));
}

TEST(MeasurementJson, ExplainsEveryFlagThatItNames)
{
    const Json json = sampleJson();
    for (const Json& press : json["presses"]) {
        for (const Json& flag : press["flags"]) {
            const Json& words = json["flag_words"].at(flag.get<std::string>());
            EXPECT_THAT(keysOf(words), ElementsAre("seen", "effect", "remedy"));
        }
    }
    for (const Json& flag : json["panel_timing"]["flags"]) {
        EXPECT_TRUE(json["flag_words"].contains(flag.get<std::string>()));
    }
    EXPECT_EQ(json["panel_timing"]["flags"], Json::array({"one-sign"}));
    EXPECT_EQ(json["flag_words"].size(), 6U);
}

TEST(MeasurementJson, NumbersPrintShort)
{
    Press press;
    press.latency = Latency {25'300'000};
    EXPECT_NE(pressJson(press).dump().find("\"latency_ms\":25.3,"), std::string::npos);
}

TEST(ToText, FileNamesOfOtherEncodingsDoNotBreakIt)
{
    ClipResult result = samples::clipWithoutPresses();
    result.clip.file = "caf\xe9.mp4";
    const Json json = Json::parse(toText(measurementJson(result, measurementFigures(result, {}))));
    EXPECT_EQ(json["clip"]["file"], "caf\xef\xbf\xbd.mp4");
}

} // namespace
} // namespace twinlamp::report
