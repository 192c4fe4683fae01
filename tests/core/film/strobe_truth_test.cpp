// SPDX-License-Identifier: GPL-3.0-or-later
// First light of strobed panels: the start of the first pulse that differs from the old ones by 10
// % of the step where the pulses are resolved, else the crossing of the mean over one period.
#include "core/film/truth.h"
#include "tests/core/film/scenes.h"

#include <cmath>
#include <gtest/gtest.h>

namespace twinlamp::film {

using tests::plainScene;

namespace {

Scene strobedScene(double periodMs, double widthMs)
{
    Scene scene = plainScene();
    scene.durationMs = 800.0;
    scene.lamps.programme.edgesMs = {105.0, 405.0};
    scene.panel.strobe = Strobe {StrobeClock::Own, periodMs, widthMs, Phase {2.0}, false};
    return scene;
}

} // namespace

TEST(StrobeTruth, FirstLightIsTheFirstLitInstantAfterTheChange)
{
    const Truth truth = truthOf(strobedScene(8.0, 1.0));
    // The panel changes at 110.001, in the dark between the pulses of 106 and 114; 405's off comes
    // at 410.001, a microsecond into the pulse of 410.
    EXPECT_NEAR(toMs(truth.presses[0].firstLight.value()), 114.0, 1e-6);
    EXPECT_NEAR(toMs(truth.presses[0].settled.value()), 114.0, 1e-6);
    EXPECT_NEAR(toMs(truth.presses[1].firstLight.value()), 410.001, 1e-5);
    EXPECT_FALSE(hasFlag(truth.presses[0].flags, Flag::StrobeUnresolved));
}

TEST(StrobeTruth, SlowPanelClimbsFromPulseToPulse)
{
    Scene scene = strobedScene(8.0, 1.0);
    scene.panel.riseMs = 10.0;
    const Truth truth = truthOf(scene);
    const Press& press = truth.presses[0];
    // Mean over the pulse from a to b of 1 - exp(-(t - 110.001)/10): at 114 to 115 it is 0.36, at
    // 122 0.71 and at 130 0.87; 90 % of the step is reached at 138.
    EXPECT_NEAR(toMs(press.firstLight.value()), 114.0, 1e-6);
    EXPECT_NEAR(toMs(press.halfLight.value()), 122.0, 1e-6);
    EXPECT_NEAR(toMs(press.settled.value()), 138.0, 8.0 + 1e-6);
}

TEST(StrobeTruth, UnresolvedPulsesAreAveragedOverTheirPeriod)
{
    const Truth truth = truthOf(strobedScene(0.5, 0.1)); // 1000 frames/s: half a frame
    // A step seen through a moving mean of one period: 10 % comes 0.4 periods before the step,
    // 50 % at it, but for the pulses' own grain of one width.
    EXPECT_NEAR(toMs(truth.presses[0].firstLight.value()), 110.001, 0.25 + 0.1);
    EXPECT_NEAR(toMs(truth.presses[0].halfLight.value()), 110.001, 0.25 + 0.1);
    EXPECT_TRUE(hasFlag(truth.presses[0].flags, Flag::StrobeUnresolved));
}

TEST(StrobeTruth, FullFrameWaitsForTheNextPulse)
{
    Scene scene = strobedScene(8.0, 1.0);
    scene.panel.direction = Direction::Down;
    scene.panel.scanMs = 9.0;
    const Press press = truthOf(scene).presses[0];
    // Rows change from 110.001 to 119.001; the pulse at 114 shows the upper ones, 122 the rest.
    EXPECT_NEAR(toMs(press.sweepStart.value()), 114.0, 1e-6);
    EXPECT_NEAR(toMs(press.fullFrame.value()), 122.0, 1e-6);
}

} // namespace twinlamp::film
