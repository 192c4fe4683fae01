// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/truth.h"
#include "tests/core/film/scenes.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace twinlamp::film {

using tests::plainScene;

TEST(Truth, ReferenceOnsetIsTheInstantOfSwitching)
{
    Scene scene = plainScene();
    scene.lamps.programme.edgesMs = {105.25, 250.5};
    const Truth truth = truthOf(scene);
    ASSERT_EQ(truth.presses.size(), 2U);
    EXPECT_EQ(truth.presses[0].reference, realTimeFromMs(105.25));
    EXPECT_EQ(truth.presses[1].reference, realTimeFromMs(250.5));
    EXPECT_EQ(truth.presses[0].edge, Edge::On);
    EXPECT_EQ(truth.presses[1].edge, Edge::Off);
    EXPECT_EQ(truth.presses[1].index, 1);
}

TEST(Truth, LatencyIsWaitForTheLinkFrameAndDelay)
{
    Scene scene = plainScene();
    scene.link.delayMs = 17.0;
    const Truth truth = truthOf(scene); // lamp at 105, frame 11 starts at 110
    EXPECT_NEAR(toMs(truth.presses[0].latency.value()), 5.0 + 0.001 + 17.0, 1e-6);
}

TEST(Truth, ResponseTimesOfThePanelFollowTheExponential)
{
    Scene scene = plainScene();
    scene.durationMs = 800.0;
    scene.lamps.programme.edgesMs = {105.0, 405.0};
    scene.panel.riseMs = 1.0;
    scene.panel.fallMs = 4.0;
    const Truth truth = truthOf(scene);
    const Press& on = truth.presses[0];
    const Press& off = truth.presses[1];
    // ln(10/9), ln 2, ln 10 time constants; the final level is taken 20 to 50 ms after the
    // departure, when 4 ms of inertia leave 1e-3 of the step on average.
    EXPECT_NEAR(toMs(on.firstLight.value()), 110.001 + 0.105360516, 1e-5);
    EXPECT_NEAR(toMs(on.halfLight.value()), 110.001 + 0.693147181, 1e-5);
    EXPECT_NEAR(toMs(on.settled.value()), 110.001 + 2.302585093, 1e-5);
    EXPECT_NEAR(toMs(off.firstLight.value()), 410.001 + 4.0 * 0.105360516, 0.001);
    EXPECT_NEAR(toMs(off.settled.value()), 410.001 + 4.0 * 2.302585093, 0.05);
}

TEST(Truth, NextEdgeSoonMeansNotSettled)
{
    Scene scene = plainScene();
    scene.lamps.programme.edgesMs = {105.0, 135.0, 300.0};
    const Truth truth = truthOf(scene);
    EXPECT_TRUE(hasFlag(truth.presses[0].flags, Flag::NotSettled));
    EXPECT_FALSE(hasFlag(truth.presses[1].flags, Flag::NotSettled));
    EXPECT_TRUE(truth.presses[0].latency.has_value());
}

TEST(Truth, LostLinkFramesLeaveNoResponse)
{
    Scene scene = plainScene();
    scene.lamps.programme.edgesMs = {105.0, 135.0, 250.0};
    scene.link.lostFrames = {11, 12, 13}; // all that saw the lamp lit
    const Truth truth = truthOf(scene);
    EXPECT_FALSE(truth.presses[0].firstLight.has_value());
    EXPECT_TRUE(hasFlag(truth.presses[0].flags, Flag::NoResponse));
    EXPECT_TRUE(truth.presses[0].accepted) << "it counts against the link";
    EXPECT_FALSE(truth.presses[1].firstLight.has_value()) << "dark after dark is no answer";
    EXPECT_TRUE(truth.presses[2].firstLight.has_value());
}

TEST(Truth, HoldBetweenTwoExposuresIsTooShortForTheLink)
{
    Scene scene = plainScene();
    scene.lamps.programme.edgesMs = {101.0, 106.0, 250.0};
    const Truth truth = truthOf(scene);
    EXPECT_TRUE(hasFlag(truth.presses[0].flags, Flag::TooShortForLink));
    EXPECT_FALSE(hasFlag(truth.presses[0].flags, Flag::NoResponse));
    EXPECT_FALSE(truth.presses[0].accepted);
    EXPECT_TRUE(truth.presses[2].accepted);
}

TEST(Truth, AnswerAfterTheEndOfTheClipIsAClipEdge)
{
    Scene scene = plainScene();
    scene.link.delayMs = 60.0;
    scene.durationMs = 150.0;
    const Truth truth = truthOf(scene);
    EXPECT_FALSE(truth.presses[0].firstLight.has_value());
}

TEST(Truth, FrameLostAtTheOnsetIsFlagged)
{
    Scene scene = plainScene();
    scene.camera.loss.frames = {105};
    const Truth truth = truthOf(scene);
    EXPECT_TRUE(hasFlag(truth.presses[0].flags, Flag::LostFrames));
    EXPECT_EQ(truth.clip.lostFrames, 1);
    EXPECT_EQ(truth.clip.frames, 399);
}

TEST(Truth, PanelFasterThanTheLinkHoldsEveryPicture)
{
    Scene scene = plainScene();
    scene.linkCamera.frameRate = {60, 1};
    scene.panel.refresh = RefreshKind::Free;
    scene.panel.refreshRate = {120, 1};
    scene.durationMs = 3000.0;
    const PanelTiming timing = truthOf(scene).panelTiming.value();
    EXPECT_NEAR(timing.heldShare.value(), 0.5, 1e-9);
    EXPECT_NEAR(toMs(timing.newFrameInterval.value()), 16.666667, 1e-6);
    EXPECT_NEAR(toMs(timing.refreshInterval.value()), 8.333333, 1e-6);
    EXPECT_NEAR(toMs(timing.longestHeld.value()), 16.666667, 1e-5);
}

TEST(Truth, FramesThatCannotComeCountAsHeld)
{
    Scene scene = plainScene();
    scene.durationMs = 1000.0;
    scene.link.lostFrames = {20, 21, 40};
    const PanelTiming timing = truthOf(scene).panelTiming.value();
    // Two pictures stay for the sake of three lost ones, among 99 intervals of the panel.
    EXPECT_NEAR(timing.heldShare.value(), 3.0 / 99.0, 1e-3);
    EXPECT_NEAR(toMs(timing.longestHeld.value()), 30.0, 1e-6);
}

TEST(Truth, FirstStepIsTheShareOfThePartlyLitFrame)
{
    Scene scene = plainScene();
    scene.linkCamera.exposureMs = 4.0;
    scene.lamps.programme.edgesMs = {101.0, 256.0};
    const Truth truth = truthOf(scene);
    ASSERT_EQ(truth.sampling.size(), 2U);
    EXPECT_NEAR(truth.sampling[0].firstStepShare.value(), 0.75, 1e-9);
    EXPECT_NEAR(truth.sampling[0].phase, 0.1, 1e-9);
    EXPECT_NEAR(truth.sampling[1].firstStepShare.value(), 1.0, 1e-9) << "between two exposures";
    EXPECT_NEAR(truth.sampling[1].phase, 0.6, 1e-9);
}

TEST(Truth, RegionsLieAroundTheLamps)
{
    const Scene scene = plainScene();
    const RegionSet regions = truthOf(scene).regions;
    EXPECT_EQ(intersection(regions.reference, {40, 60, 1, 1}).areaPx(), 1);
    EXPECT_EQ(intersection(regions.goggle, {200, 120, 1, 1}).areaPx(), 1);
    EXPECT_EQ(regions.panel, scene.panel.rect);
    EXPECT_EQ(intersection(regions.goggle, scene.panel.rect), regions.goggle);
}

TEST(TruthJson, SpeaksTheWordsOfMeasure)
{
    Scene scene = plainScene();
    scene.lamps.programme.edgesMs = {105.0, 251.0, 256.0};
    const auto json = nlohmann::json::parse(truthJson(truthOf(scene)));
    for (const char* key : {"clip", "regions", "presses", "panel_timing"}) {
        EXPECT_TRUE(json.contains(key)) << key;
    }
    const auto& press = json.at("presses").at(0);
    for (const char* key : {"index", "edge", "reference_ms", "first_light_ms", "half_light_ms",
             "settled_ms", "sweep_start_ms", "full_frame_ms", "latency_ms", "full_frame_latency_ms",
             "accepted", "flags"}) {
        EXPECT_TRUE(press.contains(key)) << key;
    }
    EXPECT_EQ(press.at("edge"), "on");
    EXPECT_DOUBLE_EQ(press.at("reference_ms").get<double>(), 105.0);
    EXPECT_TRUE(json.at("presses").at(1).at("first_light_ms").is_null());
    EXPECT_EQ(json.at("regions").at("panel"), nlohmann::json::array({100, 20, 200, 200}));
}

TEST(TruthPath, StandsBesideTheClip)
{
    EXPECT_EQ(truthPath("folder/a.mp4"), std::filesystem::path("folder/a.mp4.truth.json"));
}

} // namespace twinlamp::film
