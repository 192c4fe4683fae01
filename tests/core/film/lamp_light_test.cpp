// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/lamp_light.h"
#include "tests/core/film/scenes.h"

#include <algorithm>
#include <gtest/gtest.h>

namespace twinlamp::film {

using tests::plainScene;

TEST(LampEdges, RandomProgrammeKeepsItsRanges)
{
    Scene scene = plainScene();
    scene.lamps.programme
        = {ProgrammeKind::Random, false, {}, 200, 50.0, {30.0, 60.0}, {80.0, 90.0}, 0.0};
    const auto edges = lampEdges(scene);
    ASSERT_EQ(edges.size(), 400U);
    EXPECT_EQ(edges.front().ms, 50.0);
    double shortest = 1e9;
    double longest = 0.0;
    for (std::size_t i = 1; i < edges.size(); ++i) {
        const double length = edges[i].ms - edges[i - 1].ms;
        const bool lit = edges[i].edge == Edge::Off;
        EXPECT_NE(edges[i].edge, edges[i - 1].edge);
        EXPECT_GE(length, lit ? 30.0 : 80.0);
        EXPECT_LE(length, lit ? 60.0 : 90.0);
        if (lit) {
            shortest = std::min(shortest, length);
            longest = std::max(longest, length);
        }
    }
    EXPECT_LT(shortest, 31.0) << "200 draws should come near both ends of the range";
    EXPECT_GT(longest, 59.0);
}

TEST(LampEdges, LampsLitAtTheStartSwitchOffFirst)
{
    Scene scene = plainScene();
    scene.lamps.programme.startLit = true;
    scene.lamps.programme.edgesMs = {10.0, 20.0};
    const auto edges = lampEdges(scene);
    EXPECT_EQ(edges[0].edge, Edge::Off);
    EXPECT_EQ(edges[1].edge, Edge::On);
    const LampLight light = lampLight(scene.lamps, edges, 0.0, 400.0);
    std::size_t hint = 0;
    EXPECT_EQ(light.mean({-50.0, -40.0}, hint), 1.0) << "lit long before the clip starts";
    EXPECT_EQ(light.mean({12.0, 15.0}, hint), 0.0);
}

TEST(LampEdges, PeriodicProgrammeChangesEveryHalfPeriod)
{
    Scene scene = plainScene();
    scene.lamps.programme = {ProgrammeKind::Periodic, false, {}, 3, 100.0, {}, {}, 1000.0};
    const auto edges = lampEdges(scene);
    ASSERT_EQ(edges.size(), 6U);
    EXPECT_EQ(edges[5].ms, 2600.0);
    EXPECT_EQ(sceneDurationMs(Scene {}, edges), 2850.0);
}

TEST(LampLight, SecondLampSwitchesLaterByTheSkew)
{
    const Scene scene = plainScene();
    const LampLight light = lampLight(scene.lamps, lampEdges(scene), 2.5, 400.0);
    std::size_t hint = 0;
    EXPECT_NEAR(light.mean({105.0, 110.0}, hint), 0.5, 1e-9);
}

TEST(LampLight, PulsesStartWithTheLampAndKeepTheMean)
{
    Scene scene = plainScene();
    scene.lamps.programme.edgesMs = {100.0, 200.0};
    scene.lamps.pwm = PulseSpec {2.0, 0.25};
    const LampLight light = lampLight(scene.lamps, lampEdges(scene), 0.0, 400.0);
    std::size_t hint = 0;
    EXPECT_NEAR(light.mean({100.0, 100.5}, hint), 4.0, 1e-9);
    EXPECT_NEAR(light.mean({100.5, 102.0}, hint), 0.0, 1e-9);
    EXPECT_NEAR(light.mean({120.0, 160.0}, hint), 1.0, 1e-9);
    EXPECT_NEAR(light.mean({200.0, 240.0}, hint), 0.0, 1e-9);
}

} // namespace twinlamp::film
