// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/truth.h"
#include "core/footage/frame_index.h"
#include "tests/support/temporary_folder.h"
#include "tests/ui/wait_for.h"

#include <filesystem>
#include <memory>

/// Small simulated clips for window tests.
namespace twinlamp::ui::tests {

/// A scene that is filmed in well under a second: four presses, lamps left and on the panel.
[[nodiscard]] film::Scene smallScene();

struct FilmedClip
{
    std::filesystem::path file;
    film::Truth truth;
};

/// Films into the folder; fails the running test where that does not work.
[[nodiscard]] FilmedClip filmed(
    const film::Scene& scene, const std::filesystem::path& folder, const std::string& name);

[[nodiscard]] std::shared_ptr<const footage::ClipIndex> indexed(const std::filesystem::path& clip);

} // namespace twinlamp::ui::tests
