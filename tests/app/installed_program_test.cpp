// SPDX-License-Identifier: GPL-3.0-or-later
// The program as a user has it: installed to a folder of its own, away from the build.
#include "tests/app/clips.h"
#include "tests/support/program.h"
#include "tests/support/temporary_folder.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace twinlamp::tests {

namespace {

TEST(InstalledProgram, MeasuresAFilmedClip)
{
    const TemporaryFolder folder;
    const auto prefix = folder.path() / "installed";
    const auto installation = runProgram(
        TWINLAMP_CMAKE, {"--install", TWINLAMP_BUILD_FOLDER, "--prefix", prefix.string()});
    ASSERT_EQ(installation.status, 0) << installation.err;
    ProgramOptions options;
    options.environment
        = {{"XDG_STATE_HOME", folder.path().string()}, {"XDG_CACHE_HOME", folder.path().string()}};
    const auto run = runProgram(prefix / TWINLAMP_INSTALL_BINDIR / "twinlamp",
        {"measure", clip("clean").string(), "--capture-rate", "1000", "--json", "-"}, options);
    ASSERT_EQ(run.status, 0) << run.err;
    EXPECT_FALSE(nlohmann::json::parse(run.out).at("presses").empty());
}

TEST(InstalledProgram, BringsWhatADesktopNeeds)
{
    const TemporaryFolder folder;
    const auto installation = runProgram(
        TWINLAMP_CMAKE, {"--install", TWINLAMP_BUILD_FOLDER, "--prefix", folder.path().string()});
    ASSERT_EQ(installation.status, 0) << installation.err;
    const auto share = folder.path() / TWINLAMP_INSTALL_DATADIR;
    EXPECT_TRUE(std::filesystem::exists(share / "twinlamp/samples"));
#ifdef TWINLAMP_WITH_WINDOW
    for (const char* file : {"applications/twinlamp.desktop", "metainfo/twinlamp.metainfo.xml",
             "mime/packages/twinlamp.xml", "icons/hicolor/scalable/apps/twinlamp.svg"}) {
        EXPECT_TRUE(std::filesystem::exists(share / file)) << file;
    }
#endif
}

} // namespace

} // namespace twinlamp::tests
