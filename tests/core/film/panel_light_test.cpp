// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/panel_light.h"
#include "core/film/studio.h"
#include "tests/core/film/scenes.h"

#include <cmath>
#include <gtest/gtest.h>
#include <map>

namespace twinlamp::film {

using tests::plainScene;

TEST(PanelLight, FirstFramePartlyLitShowsItsShare)
{
    Scene scene = plainScene();
    scene.linkCamera.exposureMs = 4.0;
    scene.lamps.programme.edgesMs = {101.0}; // frame 10 is exposed from 100 to 104
    const Studio studio(scene);
    std::size_t hint = 0;
    EXPECT_NEAR(studio.panel().curve(0).value(104.5, hint), 0.75, 1e-9);
    EXPECT_NEAR(studio.panel().curve(0).value(113.9, hint), 0.75, 1e-9);
    EXPECT_NEAR(studio.panel().curve(0).value(114.1, hint), 1.0, 1e-9);
}

TEST(PanelLight, LampThatSaturatesTheLinkCameraComesEarlyAndGoesLate)
{
    Scene scene = plainScene();
    scene.linkCamera.exposureMs = 4.0;
    scene.linkCamera.gain = 10.0;
    scene.lamps.programme.edgesMs = {101.0, 202.0};
    const Studio studio(scene);
    std::size_t hint = 0;
    EXPECT_NEAR(studio.panel().curve(0).value(105.0, hint), 1.0, 1e-9) << "0.75 times 10 is full";
    EXPECT_NEAR(studio.panel().curve(0).value(205.0, hint), 1.0, 1e-9)
        << "half a frame is full too";
    EXPECT_NEAR(studio.panel().curve(0).value(215.0, hint), 0.0, 1e-9);
}

TEST(PanelLight, ResponseIsExponential)
{
    Scene scene = plainScene();
    scene.panel.riseMs = 3.0;
    const Studio studio(scene);
    // The lamp goes on at 105, frame 11 shows it from 110.001 on.
    std::size_t hint = 0;
    EXPECT_NEAR(studio.panel().curve(0).value(113.001, hint), 1.0 - std::exp(-1.0), 1e-9);
}

TEST(PanelLight, OverdriveAimsTooFarForOneRedraw)
{
    Scene scene = plainScene();
    scene.panel.riseMs = 2.0;
    scene.panel.fallMs = 2.0;
    scene.panel.overdrive = 0.25;
    const Studio studio(scene);
    std::size_t hint = 0;
    const auto& curve = studio.panel().curve(0);
    const double top = 1.25 * (1.0 - std::exp(-5.0));
    EXPECT_NEAR(curve.value(120.0009, hint), top, 1e-3);
    EXPECT_GT(curve.value(119.0, hint), 1.2);
    EXPECT_NEAR(curve.value(150.0, hint), 1.0, 1e-6);
}

TEST(PanelLight, FirstSightIsTheFirstFrameWhoseExposureEndsAfterTheEdge)
{
    Scene scene = plainScene();
    scene.linkCamera.exposureMs = 4.0;
    scene.link.delayMs = 7.0;
    const Studio studio(scene);
    EXPECT_NEAR(studio.panel().firstSight(0, 103.9).value(), 111.0, 1e-9) << "frame 10";
    EXPECT_NEAR(studio.panel().firstSight(0, 104.1).value(), 121.0, 1e-9) << "frame 11";
}

TEST(PanelLight, WeightsOfThePicturesSumToOne)
{
    Scene scene = plainScene();
    scene.panel.riseMs = 4.0;
    scene.panel.direction = Direction::Down;
    scene.panel.scanMs = 8.0;
    const Studio studio(scene);
    for (int i = 0; i < 43; ++i) {
        const double t = 100.0 + 0.7 * i;
        double sum = 0.0;
        studio.panel().pictures(50, {t, t + 3.0}, [&](std::int64_t, double weight) {
            EXPECT_GE(weight, -1e-12);
            sum += weight;
        });
        EXPECT_NEAR(sum, 1.0, 1e-9) << t;
    }
}

TEST(PanelLight, PicturesChangeWithTheRedraw)
{
    const Scene scene = plainScene(); // no inertia: frame n is shown from 10 n + 0.001 on
    const Studio studio(scene);
    std::map<std::int64_t, double> weights;
    studio.panel().pictures(0, {118.001, 122.001},
        [&](std::int64_t frame, double weight) { weights[frame] += weight; });
    EXPECT_NEAR(weights[12], 0.5, 1e-9);
    EXPECT_NEAR(weights[11], 0.5, 1e-9);
}

TEST(PanelLight, StrobeFollowsTheRedraws)
{
    Scene scene = plainScene();
    scene.panel.strobe = Strobe {StrobeClock::Refresh, 0.0, 2.0, Phase {3.0}, false};
    const Studio studio(scene);
    EXPECT_NEAR(studio.panel().strobeMean(0, {113.001, 115.001}), 5.0, 1e-9);
    EXPECT_NEAR(studio.panel().strobeMean(0, {115.1, 122.9}), 0.0, 1e-9);
    EXPECT_NEAR(studio.panel().strobeMean(0, {111.0, 151.0}), 1.0, 1e-9);
}

TEST(PanelLight, RollingStrobeRunsWithTheSweep)
{
    Scene scene = plainScene();
    scene.panel.direction = Direction::Down;
    scene.panel.scanMs = 8.0;
    scene.panel.strobe = Strobe {StrobeClock::Own, 10.0, 2.0, Phase {0.0}, true};
    const Studio studio(scene);
    const std::size_t middle = 100; // of 200 rows: 4.02 ms into the sweep
    EXPECT_NEAR(studio.panel().strobeOffsetMs(middle), 8.0 * 100.5 / 200.0, 1e-9);
    EXPECT_NEAR(studio.panel().strobeMean(middle, {104.1, 105.9}), 5.0, 1e-9);
    EXPECT_NEAR(studio.panel().strobeMean(0, {104.1, 105.9}), 0.0, 1e-9);
}

} // namespace twinlamp::film
