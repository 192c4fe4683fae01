// SPDX-License-Identifier: GPL-3.0-or-later
// The truth against pictures: a camera of 20000 frames a second, without noise, films the scene,
// and the crossings are read off its frames by the definition alone. The truth never sees a frame,
// the frames never see the truth.
#include "core/film/frame_renderer.h"
#include "core/film/trace_render.h"
#include "core/film/truth.h"
#include "tests/core/film/scenes.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace twinlamp::film {

using nlohmann::json;
using tests::sceneOf;

namespace {

constexpr double frameMs = 0.05;

struct Variant
{
    const char* name;
    const char* changes;
};

class FastCamera : public testing::TestWithParam<Variant>
{
};

Scene variantScene(const char* changes)
{
    auto all = json::parse(R"({
        "seed": 3, "duration_ms": 900,
        "picture": { "width": 160, "height": 120 },
        "lamps": { "programme": { "kind": "list", "edges_ms": [120.2, 381.7, 642.4] } },
        "reference_lamp": { "x": 24, "y": 60, "radius_px": 6 },
        "room": { "brightness": 0 },
        "link_camera": { "frame_rate": 60, "exposure_ms": 4, "readout_ms": 7, "phase_ms": 1 },
        "link": { "delay_ms": 15 },
        "panel": { "rect": [50, 10, 100, 96], "scan_ms": 8, "lamp_image": { "radius_px": 12 } },
        "camera": { "capture_rate": 20000, "exposure_ms": 0.05, "shot_noise": 0, "read_noise": 0 }
    })");
    all.merge_patch(json::parse(changes));
    return sceneOf(all.dump());
}

double meanOver(const std::vector<float>& trace, double fromMs, double toMs)
{
    const auto first = static_cast<std::size_t>(std::max(0.0, fromMs / frameMs));
    const auto last = std::min(trace.size(), static_cast<std::size_t>(toMs / frameMs));
    double sum = 0.0;
    for (std::size_t i = first; i < last; ++i) {
        sum += static_cast<double>(trace[i]);
    }
    return sum / static_cast<double>(last - first);
}

/// First frame from `fromMs` on that has reached the share of the step. Unit: ms, its middle.
double crossing(
    const std::vector<float>& trace, double fromMs, double before, double after, double share)
{
    const double goal = std::lerp(before, after, share);
    for (auto i = static_cast<std::size_t>(fromMs / frameMs); i < trace.size(); ++i) {
        const auto light = static_cast<double>(trace[i]);
        if (after > before ? light >= goal : light <= goal) {
            return (static_cast<double>(i) + 0.5) * frameMs;
        }
    }
    return -1.0;
}

} // namespace

TEST_P(FastCamera, SeesTheCrossingsOfTheTruth)
{
    const Scene scene = variantScene(GetParam().changes);
    const Studio studio(scene);
    const Truth truth = truthOf(studio);
    const auto trace = renderTraces(studio, studio.regions(), TraceNoise::None, false).goggle;
    const double newFrameMs = toMs(truth.panelTiming->newFrameInterval.value());
    ASSERT_EQ(truth.presses.size(), 3U);
    for (const Press& press : truth.presses) {
        const double edge = toMs(press.reference.value());
        const double before = meanOver(trace, edge - 2.0, edge + 10.0);
        // The departure: a thousandth of what the light becomes long after the edge.
        const double later = meanOver(trace, edge + 150.0, edge + 200.0);
        const double departure = crossing(trace, edge, before, later, 0.001);
        const double after
            = meanOver(trace, departure + 2.0 * newFrameMs, departure + 5.0 * newFrameMs);
        // A frame is 0.05 ms long; the definition's windows may start one link frame apart where a
        // frame shows less than a thousandth of the step.
        const double tolerance = 0.06;
        EXPECT_NEAR(
            toMs(press.firstLight.value()), crossing(trace, edge, before, after, 0.1), tolerance)
            << press.index;
        EXPECT_NEAR(
            toMs(press.halfLight.value()), crossing(trace, edge, before, after, 0.5), tolerance)
            << press.index;
        EXPECT_NEAR(
            toMs(press.settled.value()), crossing(trace, edge, before, after, 0.9), tolerance)
            << press.index;
    }
}

TEST_P(FastCamera, SeesTheSweepOfTheTruth)
{
    const Scene scene = variantScene(GetParam().changes);
    const Studio studio(scene);
    const Truth truth = truthOf(studio);
    FrameRenderer renderer(studio);
    LightPicture picture = renderer.blank();
    const RectPx& panel = scene.panel.rect;
    const bool sideways = sweepsSideways(scene.panel.direction);
    // One pixel of every row (column), beside the lamp's image.
    const int count = sideways ? panel.width : panel.height;
    constexpr double seenMs = 250.0;
    for (const Press& press : truth.presses) {
        const auto start = static_cast<std::int64_t>(toMs(press.reference.value()) / frameMs);
        std::vector<std::vector<float>> traces(static_cast<std::size_t>(count));
        for (std::int64_t k = start; k < start + static_cast<std::int64_t>(seenMs / frameMs); ++k) {
            const RectPx upright = sideways ? RectPx {panel.x, panel.y + 4, count, 1}
                                            : RectPx {panel.x + 4, panel.y, 1, count};
            const RectPx strip = footage::toStored(upright, studio.orientation());
            renderer.compose(k, strip, picture);
            for (int i = 0; i < count; ++i) {
                const RectPx pixel = footage::toStored(
                    RectPx {upright.x + (sideways ? i : 0), upright.y + (sideways ? 0 : i), 1, 1},
                    studio.orientation());
                traces[static_cast<std::size_t>(i)].push_back(
                    picture.planes[0][static_cast<std::size_t>(pixel.y)
                            * static_cast<std::size_t>(picture.widthPx)
                        + static_cast<std::size_t>(pixel.x)]);
            }
        }
        double first = 1e9;
        double last = 0.0;
        for (const auto& trace : traces) {
            const double before = meanOver(trace, 0.0, 10.0);
            const double later = meanOver(trace, 130.0, seenMs);
            const double departure = crossing(trace, 0.0, before, later, 0.001);
            const double interval = toMs(truth.panelTiming->newFrameInterval.value());
            const double after
                = meanOver(trace, departure + 2.0 * interval, departure + 5.0 * interval);
            const double row = crossing(trace, 0.0, before, after, 0.1);
            first = std::min(first, row);
            last = std::max(last, row);
        }
        const double origin = static_cast<double>(start) * frameMs;
        // Half a row is added at both ends, to the panel's edges.
        const double tolerance = 0.06 + scene.panel.scanMs / count;
        EXPECT_NEAR(toMs(press.sweepStart.value()), origin + first, tolerance) << press.index;
        EXPECT_NEAR(toMs(press.fullFrame.value()), origin + last, tolerance) << press.index;
    }
}

INSTANTIATE_TEST_SUITE_P(Each, FastCamera,
    testing::Values(Variant {"Plain", "{}"}, Variant {"Upwards", R"({"panel":{"direction":"up"}})"},
        Variant {"Sideways", R"({"panel":{"direction":"right-to-left"}})"},
        Variant {"AllAtOnce", R"({"panel":{"direction":"all-at-once"}})"},
        Variant {"SlowPanel", R"({"panel":{"rise_ms":4,"fall_ms":6}})"},
        Variant {"Overdrive", R"({"panel":{"rise_ms":3,"fall_ms":3,"overdrive":0.3}})"},
        Variant {"FreeRefresh",
            R"({"panel":{"refresh":"free","refresh_rate":90,"refresh_phase_ms":2}})"},
        Variant {"LongExposure", R"({"link_camera":{"exposure_ms":14}})"},
        Variant {"SaturatedLinkCamera", R"({"link_camera":{"gain":5}})"},
        Variant {"Jitter", R"({"link":{"jitter":"normal","jitter_ms":1.5}})"},
        Variant {"SecondLampLater", R"({"lamps":{"skew_ms":3.3}})"},
        Variant {"LampAtTheTop", R"({"panel":{"lamp_image":{"y":0.1}}})"},
        Variant {"Turned", R"({"file":{"rotation_deg":270}})"},
        Variant {"ColouredLamp", R"({"panel":{"lamp_image":{"colour":[1,0.2,0.1]}}})"}),
    [](const auto& row) { return std::string(row.param.name); });

} // namespace twinlamp::film
