// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/homography.h"
#include "core/film/corner_panel.h"
#include "core/film/frame_renderer.h"
#include "core/film/truth.h"
#include "tests/core/film/scenes.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

namespace twinlamp::film {

using tests::plainScene;
using tests::sceneOf;

namespace {

const QuadPx turned {{CornerPx {118, 22}, {290, 58}, {268, 214}, {90, 180}}};

void giveCorners(Scene& scene, const QuadPx& corners)
{
    scene.panel.corners = corners;
    scene.panel.rect = boundingRect(corners);
}

LightPicture composed(const Studio& studio, std::int64_t frame)
{
    FrameRenderer renderer(studio);
    LightPicture picture = renderer.blank();
    renderer.compose(frame, {0, 0, picture.widthPx, picture.heightPx}, picture);
    return picture;
}

float at(const LightPicture& picture, int x, int y)
{
    return picture.planes[0][static_cast<std::size_t>(y * picture.widthPx + x)];
}

/// A panel swept in 10 ms from 110 ms on, lit evenly by the lamp, without a base picture.
Scene sweptScene(double lineTimeUs)
{
    Scene scene = plainScene();
    scene.room.brightness = 0.0;
    scene.linkCamera.frameRate = {50, 1};
    scene.panel.direction = Direction::Down;
    scene.panel.scanMs = 10.0;
    scene.panel.brightness = 0.0;
    scene.panel.spill = 0.4;
    scene.panel.lampImage.brightness = 0.0;
    scene.camera.lineTimeUs = lineTimeUs;
    giveCorners(scene, turned);
    return scene;
}

} // namespace

TEST(TurnedPanel, ByTheCornersOfARectangleIsThatRectangle)
{
    for (const int rotation : {0, 90}) {
        for (const double move : {0.0, 3.0}) {
            Scene scene = plainScene();
            scene.panel.direction = Direction::Down;
            scene.panel.scanMs = 8.0;
            scene.panel.riseMs = 0.5;
            scene.panel.movePx = move;
            scene.camera.lineTimeUs = 3.0;
            scene.file.rotationDeg = rotation;
            const Studio upright(scene);
            giveCorners(scene, quadOf(scene.panel.rect));
            const Studio byCorners(scene);
            for (const int frame : {100, 112, 114, 130}) {
                const LightPicture one = composed(upright, frame);
                const LightPicture other = composed(byCorners, frame);
                double worst = 0.0;
                for (std::size_t i = 0; i < one.planes[0].size(); ++i) {
                    worst = std::max(worst,
                        std::abs(static_cast<double>(one.planes[0][i] - other.planes[0][i])));
                }
                EXPECT_LT(worst, 1e-6) << rotation << " " << move << " " << frame;
            }
        }
    }
}

TEST(TurnedPanel, PixelsChangeWhenTheSweepReachesTheirPlaceOnThePanel)
{
    for (const double lineTimeUs : {0.0, 3.5}) {
        const Scene scene = sweptScene(lineTimeUs);
        const Studio studio(scene);
        const Homography map(turned);
        // Link frame 6 of 50 a second is ready at 120.001 ms; frames of the camera last 1 ms.
        constexpr double sweepStart = 120.001;
        for (const PlanePoint own : {PlanePoint {0.1, 0.2}, {0.9, 0.2}, {0.5, 0.55}, {0.85, 0.9}}) {
            const PlanePoint seen = map.toPicture(own);
            const int x = static_cast<int>(seen.x);
            const int y = static_cast<int>(seen.y);
            const double changes = sweepStart + 10.0 * own.y - y * lineTimeUs * 1e-3;
            const auto frame = static_cast<std::int64_t>(std::floor(changes));
            // The pixel's middle is up to a pixel away, and rows of the panel are whole: 0.1 ms of
            // the sweep.
            const double lit = 1.0 - (changes - static_cast<double>(frame));
            EXPECT_NEAR(at(composed(studio, frame), x, y), 0.4 * lit, 0.4 * 0.1) << own.y;
            EXPECT_NEAR(at(composed(studio, frame + 2), x, y), 0.4, 1e-6);
        }
    }
}

TEST(TurnedPanel, LeavesTheRestOfTheRectangleDark)
{
    const Studio studio(sweptScene(0.0));
    const LightPicture lit = composed(studio, 150);
    EXPECT_EQ(at(lit, 95, 30), 0.0F) << "in the rectangle around, beside the panel";
    EXPECT_NEAR(at(lit, 200, 120), 0.4F, 1e-6F);
}

TEST(TurnedPanel, TruthIsThatOfThePanelAndNotOfItsPlace)
{
    const Truth truth = truthOf(sweptScene(3.5));
    ASSERT_EQ(truth.presses.size(), 1U);
    const Press& press = truth.presses.front();
    // A tenth of the step of rows that change at once is there at once.
    EXPECT_NEAR(toMs(press.sweepStart.value()), 120.001, 0.001);
    EXPECT_NEAR(toMs(press.fullFrame.value()), 130.001, 0.001);
    EXPECT_EQ(truth.regions.panelCorners, turned);
    EXPECT_EQ(truth.regions.panel, boundingRect(turned));
    EXPECT_EQ(truth.panelTiming->scan, latencyFromMs(10.0));
    EXPECT_TRUE(std::ranges::find(press.flags, Flag::FullVisiblePart) == press.flags.end());
}

TEST(TurnedPanel, LampLiesAtItsShareOfThePanel)
{
    Scene scene = plainScene();
    giveCorners(scene, turned);
    scene.panel.lampImage.x = 0.25;
    scene.panel.lampImage.y = 0.75;
    const Studio studio(scene);
    const PlanePoint seen = Homography(turned).toPicture({0.25, 0.75});
    const RectPx goggle = studio.regions().goggle;
    EXPECT_NEAR(goggle.x + 0.5 * goggle.width, seen.x, 1.0);
    EXPECT_NEAR(goggle.y + 0.5 * goggle.height, seen.y, 1.0);
    const LightPicture lit = composed(studio, 150);
    EXPECT_GT(at(lit, static_cast<int>(seen.x), static_cast<int>(seen.y)), 0.5F);
}

TEST(TurnedPanel, CornersAreReadFromTheScene)
{
    const Scene scene = sceneOf(R"({"panel":{"corners":[330,60,560,90,548,300,310,262]}})");
    EXPECT_EQ(
        scene.panel.corners, (QuadPx {{CornerPx {330, 60}, {560, 90}, {548, 300}, {310, 262}}}));
    EXPECT_EQ(scene.panel.rect, (RectPx {310, 60, 250, 240}));
}

TEST(DistanceFrom, IsNegativeInsideAndInPixelsOutside)
{
    const QuadPx square = quadOf({10, 10, 20, 20});
    EXPECT_NEAR(distanceFrom(square, 20.0, 14.0), -4.0, 1e-12);
    EXPECT_NEAR(distanceFrom(square, 33.0, 14.0), 3.0, 1e-12);
}

} // namespace twinlamp::film
