// SPDX-License-Identifier: GPL-3.0-or-later
// Log and folders: what happens before a command begins.
#include "app/logging.h"
#include "app/user_folders.h"
#include "tests/support/file_content.h"
#include "tests/support/temporary_folder.h"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <optional>
#include <spdlog/spdlog.h>
#include <string>

namespace twinlamp::app {

namespace {

using tests::contentOf;

/// Sets a variable and puts the old value back.
class Variable
{
public:
    Variable(const char* name, const char* value)
        : m_name(name)
    {
        if (const char* old = std::getenv(name)) {
            m_old = old;
        }
        value == nullptr ? ::unsetenv(name) : ::setenv(name, value, 1);
    }

    ~Variable()
    {
        m_old ? ::setenv(m_name.c_str(), m_old->c_str(), 1) : ::unsetenv(m_name.c_str());
    }

    Variable(const Variable&) = delete;
    Variable& operator=(const Variable&) = delete;

private:
    std::string m_name;
    std::optional<std::string> m_old;
};

/// startLogging replaces the logger that watches over the tests; this brings it back.
class Logging : public testing::Test
{
protected:
    void TearDown() override { spdlog::set_default_logger(m_guard); }

private:
    std::shared_ptr<spdlog::logger> m_guard = spdlog::default_logger();
};

TEST(UserFolders, FollowTheXdgVariables)
{
    const Variable state("XDG_STATE_HOME", "/somewhere/state");
    const Variable data("XDG_DATA_HOME", "/somewhere/data");
    EXPECT_EQ(stateFolder(), "/somewhere/state/twinlamp");
    EXPECT_EQ(dataFolder(), "/somewhere/data/twinlamp");
}

TEST(UserFolders, FallBackToTheHomeFolder)
{
    const Variable state("XDG_STATE_HOME", nullptr);
    const Variable data("XDG_DATA_HOME", "");
    const Variable home("HOME", "/home/somebody");
    EXPECT_EQ(stateFolder(), "/home/somebody/.local/state/twinlamp");
    EXPECT_EQ(dataFolder(), "/home/somebody/.local/share/twinlamp");
}

// The XDG Base Directory Specification 0.8 calls a relative path in these variables invalid.
TEST(UserFolders, IgnoreARelativePath)
{
    const Variable state("XDG_STATE_HOME", "state");
    const Variable home("HOME", "/home/somebody");
    EXPECT_EQ(stateFolder(), "/home/somebody/.local/state/twinlamp");
}

TEST(UserFolders, AreEmptyWithoutAHome)
{
    const Variable state("XDG_STATE_HOME", nullptr);
    const Variable home("HOME", nullptr);
    EXPECT_TRUE(stateFolder().empty());
}

TEST_F(Logging, GoesToAFileAndKeepsOffTheTerminal)
{
    const tests::TemporaryFolder folder;
    testing::internal::CaptureStdout();
    testing::internal::CaptureStderr();
    startLogging(folder.path() / "new" / "twinlamp", false);
    spdlog::warn("the lamp is dim");
    spdlog::default_logger()->flush();
    EXPECT_THAT(contentOf(folder.path() / "new" / "twinlamp" / "twinlamp.log"),
        testing::HasSubstr("the lamp is dim"));
    EXPECT_EQ(testing::internal::GetCapturedStdout(), "");
    EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
}

TEST_F(Logging, VerboseShowsOnStandardErrorOnly)
{
    const tests::TemporaryFolder folder;
    testing::internal::CaptureStdout();
    testing::internal::CaptureStderr();
    startLogging(folder.path(), true);
    spdlog::debug("a detail");
    spdlog::default_logger()->flush();
    EXPECT_EQ(testing::internal::GetCapturedStdout(), "");
    EXPECT_THAT(testing::internal::GetCapturedStderr(), testing::HasSubstr("a detail"));
}

TEST_F(Logging, FolderThatCannotBeMadeStopsNothing)
{
    const tests::TemporaryFolder folder;
    const auto blocker = folder.path() / "a-file";
    std::ofstream(blocker) << "in the way";
    testing::internal::CaptureStderr();
    startLogging(blocker / "twinlamp", false);
    spdlog::info("still running");
    EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
}

TEST_F(Logging, MissingFolderIsToldWhenVerbose)
{
    testing::internal::CaptureStderr();
    startLogging({}, true);
    EXPECT_THAT(testing::internal::GetCapturedStderr(), testing::HasSubstr("no log file"));
}

} // namespace

} // namespace twinlamp::app
