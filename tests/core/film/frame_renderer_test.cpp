// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/frame_marks.h"
#include "core/film/frame_renderer.h"
#include "tests/core/film/scenes.h"

#include <cmath>
#include <gtest/gtest.h>
#include <numbers>

namespace twinlamp::film {

using tests::plainScene;

namespace {

LightPicture composed(const Studio& studio, std::int64_t frame)
{
    FrameRenderer renderer(studio);
    LightPicture picture = renderer.blank();
    renderer.compose(frame, {0, 0, picture.widthPx, picture.heightPx}, picture);
    return picture;
}

std::size_t indexOf(int widthPx, int x, int y)
{
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(widthPx)
        + static_cast<std::size_t>(x);
}

float at(const LightPicture& picture, int x, int y, std::size_t plane = 0)
{
    return picture.planes[plane][indexOf(picture.widthPx, x, y)];
}

int lumaAt(const CodedPicture& picture, int x, int y)
{
    return picture.planes[0][indexOf(picture.widthPx, x, y)];
}

} // namespace

TEST(FrameRenderer, LampThatSwitchesDuringTheExposureIsPartlyLit)
{
    Scene scene = plainScene();
    scene.room.brightness = 0.0;
    scene.referenceLamp.brightness = 0.8;
    scene.lamps.programme.edgesMs = {105.25, 210.6};
    const Studio studio(scene);
    EXPECT_NEAR(at(composed(studio, 104), 40, 60), 0.0F, 1e-6F);
    EXPECT_NEAR(at(composed(studio, 105), 40, 60), 0.8F * 0.75F, 1e-6F);
    EXPECT_NEAR(at(composed(studio, 106), 40, 60), 0.8F, 1e-6F);
    EXPECT_NEAR(at(composed(studio, 210), 40, 60), 0.8F * 0.6F, 1e-6F);
}

TEST(FrameRenderer, EdgeInTheGapBetweenExposuresLeavesNoPartlyLitFrame)
{
    Scene scene = plainScene();
    scene.camera.exposureMs = 0.2;
    scene.room.brightness = 0.0;
    scene.lamps.programme.edgesMs = {105.6};
    const Studio studio(scene);
    EXPECT_EQ(at(composed(studio, 105), 40, 60), 0.0F);
    EXPECT_NEAR(at(composed(studio, 106), 40, 60), 0.7F, 1e-6F);
}

TEST(FrameRenderer, RotationFlagTurnsTheStoredPicture)
{
    Scene scene = plainScene();
    scene.decoys.push_back({Spot {}, Follows::Lamp});
    scene.decoys[0].spot.x = 290.0;
    scene.decoys[0].spot.y = 220.0;
    scene.panel.movePx = 3.0;
    scene.panel.direction = Direction::Down;
    scene.panel.scanMs = 8.0;
    const Studio straight(scene);
    const LightPicture upright = composed(straight, 112);
    for (const int rotation : {90, 180, 270}) {
        scene.file.rotationDeg = rotation;
        const Studio studio(scene);
        const LightPicture stored = composed(studio, 112);
        ASSERT_EQ(stored.widthPx, rotation == 180 ? 320 : 240);
        int different = 0;
        for (int y = 0; y < 240; ++y) {
            for (int x = 0; x < 320; ++x) {
                const RectPx place = footage::toStored(RectPx {x, y, 1, 1}, studio.orientation());
                different += std::abs(at(upright, x, y) - at(stored, place.x, place.y)) > 1e-6F;
            }
        }
        EXPECT_EQ(different, 0) << rotation;
    }
}

TEST(FrameRenderer, RollingShutterExposesStoredRowsOneAfterTheOther)
{
    Scene scene = plainScene();
    scene.room.brightness = 0.0;
    scene.camera.captureRate = {240, 1};
    scene.camera.lineTimeUs = 10.0;
    scene.referenceLamp.radiusPx = 30.0;
    scene.referenceLamp.y = 100.0;
    scene.lamps.programme.edgesMs = {101.0}; // row y of frame 24 is exposed from 100 + 0.01 y
    const Studio studio(scene);
    const LightPicture picture = composed(studio, 24);
    for (const int y : {80, 100, 120}) {
        EXPECT_NEAR(
            at(picture, 40, y), 0.7F * std::min(1.0F, 0.01F * static_cast<float>(y)), 1e-5F);
    }
}

TEST(FrameRenderer, NegativeLineTimeReadsTheBottomRowFirst)
{
    Scene scene = plainScene();
    scene.camera.captureRate = {240, 1};
    scene.camera.lineTimeUs = -10.0;
    const Studio studio(scene);
    EXPECT_NEAR(studio.exposure(24, 100).startMs, 99.0, 1e-9);
}

TEST(FrameRenderer, MainsFlickerIsTheMeanOfItsWaveOverTheExposure)
{
    Scene scene = plainScene();
    scene.room.textureContrast = 0.0;
    scene.room.brightness = 0.2;
    scene.room.mainsHz = 50.0;
    scene.room.flickerDepth = 0.3;
    scene.camera.exposureMs = 1.0;
    const Studio studio(scene);
    double sum = 0.0;
    double low = 1.0;
    double high = 0.0;
    for (int k = 0; k < 100; ++k) { // ten whole periods of 100 flickers a second
        const auto light = static_cast<double>(at(composed(studio, k), 5, 230));
        sum += light / 100.0;
        low = std::min(low, light);
        high = std::max(high, light);
    }
    // Mean over an exposure E of a wave of angular rate w: amplitude times sin(wE/2) / (wE/2).
    const double half = 0.5 * 2.0 * std::numbers::pi * 100.0 * 1e-3;
    const double amplitude = 0.2 * 0.3 * std::sin(half) / half;
    EXPECT_NEAR(sum, 0.2, 1e-6);
    // Ten frames a period: the nearest sample lies within 18 degrees of the crest.
    EXPECT_LE(high - 0.2, amplitude + 1e-6);
    EXPECT_GE(high - low, 2.0 * amplitude * std::cos(std::numbers::pi / 10.0) - 1e-6);
}

TEST(FrameRenderer, NoiseHasTheStatedStandardDeviation)
{
    Scene scene = plainScene();
    scene.view = GoggleView::Direct; // no panel in the picture
    scene.room.textureContrast = 0.0;
    scene.room.brightness = 0.25;
    scene.camera.shotNoise = 0.03;
    scene.camera.readNoise = 0.01;
    scene.camera.bitDepth = 10;
    scene.file.codec = Codec::Ffv1;
    scene.camera.transfer = Transfer::Gamma22;
    const Studio studio(scene);
    FrameRenderer renderer(studio);
    double sum = 0.0;
    double squares = 0.0;
    double n = 0.0;
    for (int k = 0; k < 4; ++k) {
        const CodedPicture& picture = renderer.render(k);
        for (std::size_t i = 0; i < picture.planes[0].size() / 2; ++i) {
            const int code = picture.planes[0][2 * i] + 256 * picture.planes[0][2 * i + 1];
            const double light = std::pow((code - 64) / 876.0, 2.2);
            sum += light;
            squares += light * light;
            n += 1.0;
        }
    }
    const double mean = sum / n;
    const double sd = std::sqrt(squares / n - mean * mean);
    // sqrt(0.03^2 x 0.25 + 0.01^2); five standard errors, and one code of 876 is 0.002 of light.
    const double expected = std::sqrt(0.03 * 0.03 * 0.25 + 0.01 * 0.01);
    EXPECT_NEAR(mean, 0.25, 5.0 * expected / std::sqrt(n) + 1e-4);
    EXPECT_NEAR(sd, expected, 0.01 * expected);
}

TEST(FrameRenderer, NoiseOfTwoFramesIsUnrelated)
{
    Scene scene = plainScene();
    scene.view = GoggleView::Direct;
    scene.room.textureContrast = 0.0;
    scene.room.brightness = 0.25;
    scene.camera.readNoise = 0.03;
    const Studio studio(scene);
    FrameRenderer renderer(studio);
    const CodedPicture first = renderer.render(1);
    const CodedPicture& second = renderer.render(2);
    double product = 0.0;
    double squares = 0.0;
    double mean = 0.0;
    const std::size_t n = first.planes[0].size();
    for (std::size_t i = 0; i < n; ++i) {
        mean += static_cast<double>(first.planes[0][i]) / static_cast<double>(n);
    }
    for (std::size_t i = 0; i < n; ++i) {
        const double a = first.planes[0][i] - mean;
        product += a * (second.planes[0][i] - mean);
        squares += a * a;
    }
    EXPECT_NEAR(product / squares, 0.0, 5.0 / std::sqrt(static_cast<double>(n)));
}

TEST(FrameRenderer, AnyOrderGivesTheSameFrames)
{
    Scene scene = plainScene();
    scene.camera.readNoise = 0.01;
    scene.panel.movePx = 2.0;
    scene.panel.riseMs = 3.0;
    const Studio studio(scene);
    FrameRenderer forwards(studio);
    FrameRenderer other(studio);
    const auto early = forwards.render(100).planes;
    const auto late = forwards.render(113).planes;
    EXPECT_EQ(other.render(113).planes, late);
    EXPECT_EQ(other.render(100).planes, early);
    EXPECT_NE(early, late);
}

TEST(FrameRenderer, ColouredLampStoresItsColour)
{
    Scene scene = plainScene();
    scene.room.brightness = 0.0;
    scene.referenceLamp.colour = {1.0, 0.0, 0.0};
    scene.referenceLamp.brightness = 1.0;
    const Studio studio(scene);
    FrameRenderer renderer(studio);
    EXPECT_TRUE(renderer.isColoured());
    const CodedPicture& picture = renderer.render(200);
    // Full red in BT.709, limited range: Y' 63, Cb 102, Cr 240 (H.264 Annex E formulas).
    EXPECT_EQ(lumaAt(picture, 40, 60), 63);
    const std::size_t chroma = 30 * 160 + 20;
    EXPECT_EQ(picture.planes[1][chroma], 102);
    EXPECT_EQ(picture.planes[2][chroma], 240);
    EXPECT_EQ(picture.planes[1][0], 128) << "the rest of the picture is grey";
}

TEST(FrameRenderer, LightOverFullScaleIsClipped)
{
    Scene scene = plainScene();
    scene.referenceLamp.brightness = 3.0;
    const Studio studio(scene);
    FrameRenderer renderer(studio);
    EXPECT_EQ(lumaAt(renderer.render(200), 40, 60), 235);
}

TEST(FrameRenderer, CoveredLampIsDarkBehindItsCover)
{
    Scene scene = plainScene();
    scene.room.brightness = 0.0;
    scene.referenceLamp.coveredSide = Side::Left;
    scene.referenceLamp.coveredShare = 0.5;
    const Studio studio(scene);
    const LightPicture picture = composed(studio, 200);
    EXPECT_EQ(at(picture, 35, 60), 0.0F);
    EXPECT_GT(at(picture, 45, 60), 0.5F);
}

TEST(FrameRenderer, DecoySwitchesWithItsSource)
{
    Scene scene = plainScene();
    scene.room.brightness = 0.0;
    Decoy lamp;
    lamp.spot.x = 30.0;
    lamp.spot.y = 200.0;
    Decoy panel = lamp;
    panel.spot.x = 70.0;
    panel.follows = Follows::Panel;
    scene.decoys = {lamp, panel};
    scene.link.delayMs = 30.0; // lamp at 105, panel at 140
    const Studio studio(scene);
    EXPECT_GT(at(composed(studio, 110), 30, 200), 0.5F);
    EXPECT_EQ(at(composed(studio, 110), 70, 200), 0.0F);
    EXPECT_GT(at(composed(studio, 145), 70, 200), 0.5F);
}

TEST(FrameRenderer, MovingBasePictureMovesWithTheLinkFrames)
{
    Scene scene = plainScene();
    scene.panel.spill = 0.0;
    scene.panel.lampImage.brightness = 0.0;
    scene.panel.textureContrast = 0.8;
    scene.panel.movePx = 5.0;
    const Studio studio(scene);
    const LightPicture before = composed(studio, 55); // shows link frame 5
    const LightPicture after = composed(studio, 65); // link frame 6
    for (int x = 110; x < 280; x += 17) {
        EXPECT_NEAR(at(after, x, 100), at(before, x + 5, 100), 1e-6F) << x;
    }
    const LightPicture same = composed(studio, 57);
    EXPECT_EQ(at(same, 150, 100), at(before, 150, 100)) << "held between two link frames";
}

TEST(FrameRenderer, StrobedPanelIsDarkBetweenItsPulses)
{
    Scene scene = plainScene();
    scene.panel.textureContrast = 0.0;
    scene.panel.strobe = Strobe {StrobeClock::Own, 10.0, 2.0, Phase {0.0}, false};
    const Studio studio(scene);
    EXPECT_NEAR(at(composed(studio, 20), 110, 30), 5.0F * 0.12F, 1e-5F);
    EXPECT_EQ(at(composed(studio, 25), 110, 30), 0.0F);
}

TEST(FrameRenderer, HandHeldPictureMovesByTheShake)
{
    Scene scene = plainScene();
    scene.camera.shake = {2.5, 2.0, 8.0};
    const ShakeMotion motion(scene);
    EXPECT_EQ(motion.at(0.0).x, 0.0);
    EXPECT_EQ(motion.at(0.0).y, 0.0);
    const Studio studio(scene);
    FrameRenderer renderer(studio);
    double weight = 0.0;
    double x = 0.0;
    const CodedPicture& picture = renderer.render(300);
    for (int px = 0; px < 100; ++px) {
        const double light = std::max(0, lumaAt(picture, px, 60) - 120);
        weight += light;
        x += light * (px + 0.5);
    }
    EXPECT_NEAR(x / weight, 40.0 + motion.at(300.5).x, 0.3);
}

TEST(ShakeMotion, HasTheStatedStandardDeviation)
{
    Scene scene = plainScene();
    scene.camera.shake = {3.0, 1.0, 9.0};
    const ShakeMotion motion(scene);
    double sum = 0.0;
    double squares = 0.0;
    constexpr int n = 200'000;
    for (int i = 0; i < n; ++i) {
        const double x = motion.at(i * 1.7).y;
        sum += x / n;
        squares += x * x / n;
    }
    EXPECT_NEAR(std::sqrt(squares - sum * sum), 3.0, 0.05);
}

TEST(FrameMark, EveryNumberIsReadBack)
{
    for (const int depth : {8, 10}) {
        Scene scene = plainScene();
        scene.camera.bitDepth = depth;
        const FrameCoder coder(scene, {0, 320, 240});
        CodedPicture picture = coder.blank();
        for (const std::int64_t frame : {0L, 1L, 4095L, 123'456L, -7L}) {
            paintFrameMark(frame, picture);
            EXPECT_EQ(readFrameMark(picture.view()), frame);
        }
    }
}

TEST(FrameMark, PictureWithoutOneHasNone)
{
    const Studio studio(plainScene());
    FrameRenderer renderer(studio);
    EXPECT_FALSE(readFrameMark(renderer.render(0).view()).has_value());
}

} // namespace twinlamp::film
