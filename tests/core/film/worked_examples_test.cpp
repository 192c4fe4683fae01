// SPDX-License-Identifier: GPL-3.0-or-later
// Whole worked examples from outside: the trade's own figure, a rolling shutter, one uniform phase.
#include "core/film/frame_renderer.h"
#include "core/film/truth.h"
#include "tests/core/film/scenes.h"

#include <cmath>
#include <gtest/gtest.h>
#include <string>

namespace twinlamp::film {

using tests::plainScene;
using tests::sceneOf;

// Common practice, no source: first change about 25 ms after the lamp, whole panel about 35 ms
// after it, hence a sweep of 10 ms and about 100 new frames a second.
TEST(WorkedFigure, FirstLight25FullFrame35MeansHundredFramesASecond)
{
    const Scene scene = sceneOf(R"({
        "duration_ms": 400,
        "lamps": { "programme": { "kind": "list", "edges_ms": [110] } },
        "link_camera": { "frame_rate": 100, "exposure_ms": 0.001, "readout_ms": 0, "phase_ms": 0 },
        "link": { "delay_ms": 24.999 },
        "panel": { "scan_ms": 10, "rise_ms": 0, "fall_ms": 0,
                   "lamp_image": { "x": 0.5, "y": 0.02, "radius_px": 2, "soft_edge_px": 0 } },
        "camera": { "capture_rate": 1000, "exposure_ms": 1 }
    })");
    const Truth truth = truthOf(scene);
    ASSERT_EQ(truth.presses.size(), 1U);
    const Press& press = truth.presses.front();
    // The lamp lies within the first rows of the panel: its 10 % is up to half a millisecond late.
    EXPECT_NEAR(toMs(press.latency.value()), 25.0, 0.5);
    EXPECT_NEAR(toMs(press.sweepStart.value() - press.reference.value()), 25.0, 1e-6);
    EXPECT_NEAR(toMs(press.fullFrameLatency.value()), 35.0, 1e-6);
    ASSERT_TRUE(truth.panelTiming.has_value());
    EXPECT_NEAR(toMs(truth.panelTiming->newFrameInterval.value()), 10.0, 1e-9);
    EXPECT_NEAR(toMs(truth.panelTiming->scan.value()), 10.0, 1e-9);
}

// 240 frames/s, 1080 rows read in 3.6 ms: line time 3.333333 us. Lamp at row 300 switches at
// 418.366667 ms and leaves frame 100 lit by 0.3; lamp at row 800 switches at 444.733333 ms and
// leaves frame 106 lit by 0.6; latency 26.366667 ms (exact arithmetic).
TEST(RollingShutter, WorkedExampleLeavesTheStatedFractions)
{
    Scene scene = plainScene();
    scene.widthPx = 128;
    scene.heightPx = 1080;
    scene.view = GoggleView::Direct;
    scene.lamps.programme.edgesMs = {418.366667};
    scene.lamps.skewMs = 26.366667;
    scene.durationMs = 500.0;
    scene.room.brightness = 0.0;
    scene.referenceLamp = {30.5, 300.5, 0.5, 0.0, 1.0, {1, 1, 1}, 0.0, 1.0, Side::Top, 0.0};
    scene.panel.rect = {64, 0, 64, 1080};
    scene.panel.lampImage
        = {0.5 + 0.5 / 64, 800.5 / 1080, 0.5, 0.0, 1.0, {1, 1, 1}, 0.0, 1.0, Side::Top, 0.0};
    scene.camera.captureRate = {240, 1};
    scene.camera.lineTimeUs = 10.0 / 3.0;
    const Studio studio(scene);
    FrameRenderer renderer(studio);
    LightPicture picture = renderer.blank();
    const auto lightAt = [&](std::int64_t frame, int x, int y) {
        renderer.compose(frame, {0, 0, 128, 1080}, picture);
        return picture.planes[0][static_cast<std::size_t>(y) * 128 + static_cast<std::size_t>(x)];
    };
    EXPECT_NEAR(lightAt(100, 30, 300), 0.3F, 1e-5F);
    EXPECT_NEAR(lightAt(106, 96, 800), 0.6F, 1e-5F);
    EXPECT_EQ(lightAt(99, 30, 300), 0.0F);
    EXPECT_NEAR(lightAt(101, 30, 300), 1.0F, 1e-6F);
    // Both lamps in direct view: the latency of the pair itself is their skew, and it is corrected.
    const Press press = truthOf(studio).presses.front();
    EXPECT_NEAR(toMs(press.firstLight.value()) - toMs(press.reference.value()), 26.366667, 1e-6);
    EXPECT_NEAR(toMs(press.latency.value()), 0.0, 1e-6);
}

namespace {

/// Latencies of presses at moments unrelated to a link whose own delay is c.
std::vector<double> latenciesAtRandomPhase(int rate, double delayMs, int presses)
{
    Scene scene = plainScene();
    scene.seed = 11;
    scene.widthPx = 64;
    scene.heightPx = 64;
    scene.panel.rect = {20, 10, 40, 40};
    scene.panel.lampImage.radiusPx = 5.0;
    scene.linkCamera.frameRate = {rate, 1};
    scene.link.delayMs = delayMs;
    scene.durationMs.reset();
    scene.lamps.programme
        = {ProgrammeKind::Random, false, {}, presses, 100.0, {150.0, 250.0}, {150.0, 250.0}, 0.0};
    std::vector<double> latencies;
    for (const Press& press : truthOf(scene).presses) {
        latencies.push_back(toMs(press.latency.value()));
    }
    return latencies;
}

} // namespace

// L = c + U(0, T): mean c + T/2, standard deviation T/sqrt(12) (exact). 25 ms at
// 60/s: 33.333, 4.811.
TEST(SamplingPhase, MakesLatencyUniformOverOneLinkFrame)
{
    const auto latencies = latenciesAtRandomPhase(60, 25.0, 1000);
    ASSERT_EQ(latencies.size(), 2000U);
    const auto n = static_cast<double>(latencies.size());
    double mean = 0.0;
    double squares = 0.0;
    for (const double latency : latencies) {
        EXPECT_GE(latency, 25.0 - 1e-6);
        EXPECT_LE(latency, 25.0 + 1000.0 / 60.0 + 0.002);
        mean += latency / n;
        squares += latency * latency / n;
    }
    const double sd = std::sqrt(squares - mean * mean);
    // Five standard errors: of a mean sd/sqrt(n), of a uniform's sd about 0.447 sd/sqrt(n).
    EXPECT_NEAR(mean, 33.333333, 5.0 * 4.811252 / std::sqrt(n));
    EXPECT_NEAR(sd, 4.811252, 5.0 * 0.447 * 4.811252 / std::sqrt(n));
}

} // namespace twinlamp::film
