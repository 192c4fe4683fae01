// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/trace_render.h"
#include "core/film/truth.h"
#include "tests/core/film/scenes.h"

#include <cmath>
#include <gtest/gtest.h>

namespace twinlamp::film {

using tests::plainScene;

namespace {

/// A region that the lamp fills evenly.
Scene filledScene()
{
    Scene scene = plainScene();
    scene.room.brightness = 0.0;
    scene.referenceLamp.radiusPx = 30.0;
    scene.referenceLamp.brightness = 0.8;
    scene.referenceRegion = RectPx {30, 50, 20, 20};
    return scene;
}

} // namespace

TEST(RenderTraces, PartlyLitFrameHoldsItsFraction)
{
    Scene scene = filledScene();
    scene.lamps.programme.edgesMs = {105.3};
    const Studio studio(scene);
    const ClipTraces traces = renderTraces(studio, studio.regions(), TraceNoise::None, true);
    ASSERT_EQ(traces.frameCount(), 400U);
    EXPECT_EQ(traces.exposureStart[105], realTimeFromMs(105.0));
    EXPECT_NEAR(traces.reference[104], 0.0F, 1e-6F);
    EXPECT_NEAR(traces.reference[105], 0.8F * 0.7F, 1e-5F);
    EXPECT_NEAR(traces.reference[106], 0.8F, 1e-5F);
    EXPECT_EQ(traces.panel.size(), 400U);
}

// Box exposure of the ramp that a sweep makes of a region: y(t) = (t - E/2)/T in its middle part
// (closed form), t the end of the exposure after the ramp's start.
TEST(RenderTraces, SweptRegionIsARampThroughTheExposure)
{
    Scene scene = filledScene();
    scene.heightPx = 480;
    scene.linkCamera.frameRate = {50, 1};
    scene.panel.rect = {100, 40, 200, 400};
    scene.panel.brightness = 0.0;
    scene.panel.lampImage.brightness = 0.0;
    scene.panel.spill = 0.5;
    scene.panel.direction = Direction::Down;
    scene.panel.scanMs = 10.0;
    scene.goggleRegion = scene.panel.rect;
    const Studio studio(scene);
    const ClipTraces traces = renderTraces(studio, studio.regions(), TraceNoise::None, false);
    EXPECT_TRUE(traces.panel.empty());
    for (int k = 122; k < 129; ++k) { // sweep from 120.001 to 130.001, frames of 1 ms
        const double end = k + 1.0 - 120.001;
        EXPECT_NEAR(traces.goggle[static_cast<std::size_t>(k)], 0.5 * (end - 0.5) / 10.0, 1e-4)
            << k;
    }
}

TEST(RenderTraces, NoiseOfAMeanFallsWithTheRootOfItsPixels)
{
    Scene scene = filledScene();
    scene.lamps.programme.edgesMs = {1.0};
    scene.durationMs = 4000.0;
    scene.camera.shotNoise = 0.05;
    scene.camera.readNoise = 0.02;
    const Studio studio(scene);
    const ClipTraces traces = renderTraces(studio, studio.regions(), TraceNoise::Camera, false);
    double sum = 0.0;
    double squares = 0.0;
    const double n = static_cast<double>(traces.frameCount()) - 10.0;
    for (std::size_t k = 10; k < traces.frameCount(); ++k) {
        sum += static_cast<double>(traces.reference[k]);
        squares
            += static_cast<double>(traces.reference[k]) * static_cast<double>(traces.reference[k]);
    }
    const double sd = std::sqrt(squares / n - sum * sum / n / n);
    const double expected = std::sqrt((0.05 * 0.05 * 0.8 + 0.02 * 0.02) / 400.0);
    EXPECT_NEAR(sd, expected, 5.0 * expected / std::sqrt(2.0 * n));
}

TEST(RenderRegion, CellsAndMeanAreThoseOfTheTrace)
{
    Scene scene = filledScene();
    scene.panel.direction = Direction::Down;
    scene.panel.scanMs = 9.0;
    const Studio studio(scene);
    const ClipTraces traces = renderTraces(studio, studio.regions(), TraceNoise::None, true);
    constexpr int columns = 7;
    constexpr int rows = 5;
    const RegionFilm film
        = renderRegion(studio, {*studio.regions().panel, columns, rows, 0}, TraceNoise::None, 0);
    ASSERT_EQ(film.mean.size(), traces.frameCount());
    ASSERT_EQ(film.cells.size(), traces.frameCount() * columns * rows);
    for (std::size_t k = 0; k < film.mean.size(); ++k) {
        ASSERT_NEAR(film.mean[k], traces.panel[k], 1e-5F) << k;
    }
    // The top row of cells changes before the bottom row does: at 105.3 ms the lamp, then the link.
    const auto cell = [&](std::size_t frame, std::size_t row) {
        return film.cells[frame * columns * rows + row * columns];
    };
    EXPECT_GT(cell(115, 0) - cell(100, 0), 0.04F);
    EXPECT_LT(cell(111, rows - 1) - cell(100, rows - 1), 1e-5F);
}

TEST(RenderRegion, CountsPixelsAtFullScale)
{
    Scene scene = filledScene();
    scene.referenceLamp.brightness = 1.5;
    scene.referenceRegion = RectPx {30, 50, 20, 20};
    const Studio studio(scene);
    const RegionFilm film = renderRegion(studio, {studio.regions().reference}, TraceNoise::None, 0);
    EXPECT_EQ(film.clipped.front(), 0.0F);
    EXPECT_EQ(film.clipped.back(), 1.0F);
    EXPECT_NEAR(film.mean.back(), 1.0F, 1e-6F);
}

TEST(RenderRegion, FewerPixelsReadMakeMoreNoise)
{
    Scene scene = filledScene();
    scene.lamps.programme.edgesMs = {1.0};
    scene.durationMs = 4000.0;
    scene.camera.readNoise = 0.05;
    const Studio studio(scene);
    const auto spread = [&](int samples) {
        const RegionFilm film = renderRegion(
            studio, {studio.regions().reference, 1, 1, samples}, TraceNoise::Camera, 0);
        double sum = 0.0;
        for (std::size_t k = 10; k < film.cells.size(); ++k) {
            sum += std::pow(static_cast<double>(film.cells[k]) - 0.8, 2.0);
        }
        return std::sqrt(sum / static_cast<double>(film.cells.size() - 10));
    };
    // 400 pixels, or 25 of them; 4000 values know a spread to 1.1 %.
    EXPECT_NEAR(spread(0), 0.05 / 20.0, 0.05 * 0.05 / 20.0);
    EXPECT_NEAR(spread(25), 0.05 / 5.0, 0.05 * 0.05 / 5.0);
}

TEST(RenderTraces, LostFramesAreMissingAndTheRestKeepsItsTime)
{
    Scene scene = filledScene();
    scene.camera.loss.frames = {10, 11, 12};
    scene.camera.rateErrorPpm = 1000.0;
    const Studio studio(scene);
    const ClipTraces traces = renderTraces(studio, studio.regions(), TraceNoise::None, false);
    EXPECT_EQ(traces.exposureStart[9], realTimeFromMs(9.0 / 1.001));
    EXPECT_EQ(traces.exposureStart[10], realTimeFromMs(13.0 / 1.001));
}

TEST(RenderTraces, ThousandsOfPressesTakeNoCoding)
{
    Scene scene = plainScene();
    scene.durationMs.reset();
    scene.camera.captureRate = {240, 1};
    scene.camera.exposureMs = 3.0;
    scene.lamps.programme
        = {ProgrammeKind::Random, false, {}, 1000, 100.0, {100.0, 200.0}, {100.0, 200.0}, 0.0};
    const Studio studio(scene);
    EXPECT_EQ(truthOf(studio).presses.size(), 2000U);
    const ClipTraces traces = renderTraces(studio, studio.regions(), TraceNoise::Camera, false);
    EXPECT_GT(traces.frameCount(), 70'000U);
}

} // namespace twinlamp::film
