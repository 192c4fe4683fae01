// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/clips.h"

#include <gtest/gtest.h>

namespace twinlamp::tests {

std::filesystem::path clip(const std::string& name)
{
    std::filesystem::path file = std::filesystem::path(TWINLAMP_CLIP_FOLDER) / (name + ".mp4");
    EXPECT_TRUE(std::filesystem::exists(file))
        << file << " is missing: run ctest, whose fixture filmed-clips makes it";
    return file;
}

std::filesystem::path truthOf(const std::string& name)
{
    return clip(name).string() + ".truth.json";
}

std::filesystem::path scene(const std::string& name)
{
    return std::filesystem::path(TWINLAMP_SCENE_FOLDER) / (name + ".json");
}

} // namespace twinlamp::tests
