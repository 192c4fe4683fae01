// SPDX-License-Identifier: GPL-3.0-or-later
// A panel that is seen turned by 12 degrees and at an angle, with a rolling shutter: told by its
// four corners it is timed as well as a straight one; told by the rectangle around it, it is not.
#include "core/film/film.h"
#include "core/film/scene.h"
#include "core/film/studio.h"
#include "core/film/truth.h"
#include "core/measure/clip_measurement.h"
#include "tests/support/temporary_folder.h"

#include <cmath>
#include <gtest/gtest.h>
#include <spdlog/fmt/fmt.h>
#include <string>

namespace twinlamp::measure {

namespace {

constexpr double scanMs = 9.5;

film::Scene sceneWith(const std::string& place)
{
    const auto parsed = film::parseScene(fmt::format(R"({{"seed": 31,
            "picture": {{"width": 384, "height": 256}},
            "lamps": {{"programme": {{"kind": "random", "presses": 6, "hold_ms": [110, 150],
              "gap_ms": [110, 150]}}}},
            "reference_lamp": {{"x": 52, "y": 128, "radius_px": 12}},
            "link_camera": {{"frame_rate": 72, "readout_ms": 6}}, "link": {{"delay_ms": 13}},
            "panel": {{{}, "scan_ms": {}, "spill": 0.15, "lamp_image": {{"radius_px": 14}}}},
            "camera": {{"capture_rate": 480, "exposure_ms": 1.6, "line_time_us": 7.5}},
            "file": {{"gop": 30, "quality": 12}}}})",
                                             place, scanMs),
        "test.json");
    EXPECT_TRUE(parsed.has_value()) << (parsed ? "" : parsed.error().detail);
    return parsed.value_or(film::Scene {});
}

struct Figures
{
    int presses = 0;
    int withoutFullFrame = 0;
    double fullFrameRmsMs = 0.0;
    double latencyRmsMs = 0.0;
    double scanMs = 0.0;
};

enum class Told
{
    AsItIs,
    RectangleAround
};

Figures figuresOf(const film::Scene& scene, Told told)
{
    const tests::TemporaryFolder folder;
    const auto clip = folder / "clip.mp4";
    EXPECT_TRUE(film::filmScene(scene, clip, {}).hasValue());
    const film::Studio studio(scene);
    MeasureOptions options;
    options.captureRate = FrameRate {480, 1};
    options.exposureMs = 1.6;
    options.lineTimeUs = 7.5;
    options.reference = studio.regions().reference;
    options.goggle = studio.regions().goggle;
    options.panel = studio.regions().panel;
    if (told == Told::AsItIs) {
        options.panelCorners = studio.regions().panelCorners;
    }
    const auto measured = measureClip(clip, options, {});
    if (!measured.hasValue()) {
        ADD_FAILURE() << (measured.isError() ? measured.error().detail : "stopped");
        return {};
    }
    const ClipResult& result = measured.value().result;
    EXPECT_EQ(result.regions.panelCorners, options.panelCorners);
    const film::Truth truth = film::truthOf(studio);
    EXPECT_EQ(result.presses.size(), truth.presses.size());
    Figures figures;
    double fullFrame = 0.0;
    double latency = 0.0;
    for (std::size_t i = 0; i < std::min(result.presses.size(), truth.presses.size()); ++i) {
        const Press& seen = result.presses[i];
        const Press& real = truth.presses[i];
        ++figures.presses;
        if (!seen.fullFrame || !seen.latency || !real.fullFrame) {
            ++figures.withoutFullFrame;
            continue;
        }
        fullFrame += std::pow(toMs(*seen.fullFrame - *real.fullFrame), 2);
        latency += std::pow(toMs(*seen.latency - *real.latency), 2);
    }
    const int timed = figures.presses - figures.withoutFullFrame;
    figures.fullFrameRmsMs = std::sqrt(fullFrame / std::max(1, timed));
    figures.latencyRmsMs = std::sqrt(latency / std::max(1, timed));
    figures.scanMs = result.panelTiming ? toMs(result.panelTiming->scan.value_or(Latency {})) : 0.0;
    return figures;
}

// Corners by hand: 190 x 140 px about (245, 130), turned 12 degrees clockwise, its right side a
// fifth shorter than the left one.
constexpr const char* turnedPlace = R"("corners": [168, 34, 342, 88, 318, 198, 138, 172])";
// The same panel on its side: its own top lies to the right.
constexpr const char* lyingPlace = R"("corners": [342, 88, 318, 198, 138, 172, 168, 34])";
constexpr const char* straightPlace = R"("rect": [150, 60, 190, 140])";

// These scenes, 27 November 2026: full frame to 0.053 ms (RMS) straight, 0.017 turned and 0.022
// lying, scan time to 0.02 ms each; by the rectangle around the turned one 0.290 and 0.9 ms. A
// tenth of a millisecond is a twentieth of a frame.
constexpr double fullFrameToleranceMs = 0.1;
constexpr double scanToleranceMs = 0.1;

class PanelInView : public testing::TestWithParam<const char*>
{
};

TEST_P(PanelInView, FullFrameAndScanTimeAreRight)
{
    const Figures figures = figuresOf(sceneWith(GetParam()), Told::AsItIs);
    EXPECT_EQ(figures.presses, 12);
    EXPECT_EQ(figures.withoutFullFrame, 0);
    EXPECT_LT(figures.fullFrameRmsMs, fullFrameToleranceMs);
    EXPECT_NEAR(figures.scanMs, scanMs, scanToleranceMs);
    EXPECT_LT(figures.latencyRmsMs, 0.21) << "a tenth of a frame";
    RecordProperty("full_frame_rms_ms", fmt::format("{:.3f}", figures.fullFrameRmsMs));
    RecordProperty("scan_ms", fmt::format("{:.3f}", figures.scanMs));
}

INSTANTIATE_TEST_SUITE_P(
    Each, PanelInView, testing::Values(straightPlace, turnedPlace, lyingPlace));

TEST(TurnedPanel, IsTimedWorseByTheRectangleAroundIt)
{
    const film::Scene scene = sceneWith(turnedPlace);
    const Figures corners = figuresOf(scene, Told::AsItIs);
    const Figures around = figuresOf(scene, Told::RectangleAround);
    RecordProperty("full_frame_rms_ms", fmt::format("{:.3f}", around.fullFrameRmsMs));
    RecordProperty("scan_ms", fmt::format("{:.3f}", around.scanMs));
    EXPECT_GT(around.fullFrameRmsMs, 3.0 * corners.fullFrameRmsMs);
    EXPECT_GT(around.scanMs - scanMs, 5.0 * scanToleranceMs)
        << "bands across the sweep blur it, and the rectangle is higher than the panel";
}

} // namespace

} // namespace twinlamp::measure
