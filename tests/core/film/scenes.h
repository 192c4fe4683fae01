// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/scene.h"

#include <gtest/gtest.h>
#include <string_view>

namespace twinlamp::film::tests {

/// Scene from JSON that the test has got right; fails the test where it has not.
inline Scene sceneOf(std::string_view json)
{
    const auto scene = parseScene(json, "test.json");
    EXPECT_TRUE(scene.has_value()) << (scene ? "" : scene.error().detail);
    return scene.value_or(Scene {});
}

/// A scene in which the link adds no time of its own: link frames come every 10 ms, at once and
/// whole, and the panel changes its picture in one go, without inertia. What a test is about is set
/// on top.
inline Scene plainScene()
{
    Scene scene;
    scene.widthPx = 320;
    scene.heightPx = 240;
    scene.durationMs = 400.0;
    scene.lamps.programme = {ProgrammeKind::List, false, {105.0}, 1, 0.0, {}, {}, 0.0};
    scene.referenceLamp.x = 40.0;
    scene.referenceLamp.y = 60.0;
    scene.linkCamera.frameRate = {100, 1};
    scene.linkCamera.exposureMs = 0.001;
    scene.linkCamera.readoutMs = 0.0;
    scene.linkCamera.phase.ms = 0.0;
    scene.link.delayMs = 0.0;
    scene.panel.rect = {100, 20, 200, 200};
    scene.panel.direction = Direction::AllAtOnce;
    scene.panel.riseMs = 0.0;
    scene.panel.fallMs = 0.0;
    scene.camera.captureRate = {1000, 1};
    scene.camera.exposureMs = 1.0;
    scene.camera.shotNoise = 0.0;
    scene.camera.readNoise = 0.0;
    return scene;
}

} // namespace twinlamp::film::tests
