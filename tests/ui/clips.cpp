// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/clips.h"

#include "core/film/film.h"

#include <gtest/gtest.h>

namespace twinlamp::ui::tests {

film::Scene smallScene()
{
    film::Scene scene;
    scene.name = "window test";
    scene.seed = 7;
    scene.widthPx = 320;
    scene.heightPx = 180;
    scene.lamps.programme.presses = 4;
    scene.lamps.programme.startMs = 220.0;
    scene.referenceLamp.x = 60.0;
    scene.referenceLamp.y = 90.0;
    scene.referenceLamp.radiusPx = 9.0;
    scene.panel.rect = {150, 40, 150, 100};
    scene.panel.lampImage.radiusPx = 11.0;
    scene.camera.captureRate = {480, 1};
    scene.file.playRate = FrameRate {30, 1};
    scene.file.captureRateTag = true;
    return scene;
}

FilmedClip filmed(
    const film::Scene& scene, const std::filesystem::path& folder, const std::string& name)
{
    auto outcome = film::filmScene(scene, folder / name, {});
    if (!outcome.hasValue()) {
        ADD_FAILURE() << "no clip: " << (outcome.isError() ? outcome.error().detail : "stopped");
        return {};
    }
    return {outcome.value().clip, outcome.value().truth};
}

std::shared_ptr<const footage::ClipIndex> indexed(const std::filesystem::path& clip)
{
    auto index = footage::indexClip(clip, {}, {});
    if (!index.hasValue()) {
        ADD_FAILURE() << "no index: " << (index.isError() ? index.error().detail : "stopped");
        return std::make_shared<const footage::ClipIndex>();
    }
    return std::make_shared<const footage::ClipIndex>(std::move(index).value());
}

} // namespace twinlamp::ui::tests
