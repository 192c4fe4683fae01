// SPDX-License-Identifier: GPL-3.0-or-later
// The rules can fail: each is shown a violation of its own, and the nearest thing that is none.
#include "tests/layering/source_rules.h"

#include <gtest/gtest.h>
#include <string>

namespace twinlamp::tests {

namespace {

SourceFile including(std::string path, const std::string& include)
{
    return {std::move(path),
        "// SPDX-License-Identifier: GPL-3.0-or-later\n#include " + include + "\n"};
}

TEST(IncludeDirection, LowerPartIncludingHigherOneIsFound)
{
    const auto found = wrongDirection(including("core/stats/a.cpp", "\"core/session/session.h\""));
    ASSERT_EQ(found.size(), 1U);
    EXPECT_EQ(found[0], "core/stats/a.cpp:2: core/stats may not include core/session");
}

TEST(IncludeDirection, HigherPartIncludingLowerOneIsFine)
{
    EXPECT_TRUE(
        wrongDirection(including("core/report/a.cpp", "\"core/session/session.h\"")).empty());
    EXPECT_TRUE(wrongDirection(including("core/report/a.cpp", "\"core/report/b.h\"")).empty());
    EXPECT_TRUE(wrongDirection(including("ui/pages/a.cpp", "\"core/measure/b.h\"")).empty());
}

TEST(IncludeDirection, CoreIncludingWindowCommandsOrTestsIsFound)
{
    for (const char* include : {"\"ui/a.h\"", "\"app/commands/a.h\"", "\"tests/support/a.h\""}) {
        EXPECT_EQ(wrongDirection(including("core/measure/a.cpp", include)).size(), 1U) << include;
    }
}

TEST(IncludeDirection, CommandsIncludingWindowIsFound)
{
    EXPECT_EQ(wrongDirection(including("app/commands/a.cpp", "\"ui/a.h\"")).size(), 1U);
    EXPECT_TRUE(wrongDirection(including("app/window_start.cpp", "\"ui/a.h\"")).empty());
}

TEST(IncludeDirection, WindowIncludingCommandsIsFound)
{
    EXPECT_EQ(wrongDirection(including("ui/main_window.cpp", "\"app/command_line.h\"")).size(), 1U);
}

TEST(IncludeDirection, FolderThatTheMapDoesNotNameIsFound)
{
    const auto found = wrongDirection(including("core/novel/a.cpp", "\"core/base/units.h\""));
    ASSERT_EQ(found.size(), 1U);
    EXPECT_NE(found[0].find("no place in the map"), std::string::npos);
}

TEST(IncludeDirection, SpacesInTheDirectiveHideNothing)
{
    const SourceFile file {"core/base/a.h", "\n  #  include   \"core/link/b.h\"\n"};
    EXPECT_EQ(wrongDirection(file).size(), 1U);
}

TEST(LibraryPlace, QtInCoreOrCommandsIsFound)
{
    EXPECT_EQ(wrongLibrary(including("core/film/a.cpp", "<QString>")).size(), 1U);
    EXPECT_EQ(wrongLibrary(including("app/commands/a.cpp", "<QtGlobal>")).size(), 1U);
    EXPECT_EQ(wrongLibrary(including("core/film/a.h", "<QtCore/qglobal.h>")).size(), 1U);
    EXPECT_TRUE(wrongLibrary(including("ui/a.cpp", "<QString>")).empty());
}

TEST(LibraryPlace, QtInACoreListIsFound)
{
    const SourceFile list {"core/base/CMakeLists.txt", "find_package(Qt6 REQUIRED)\n"};
    EXPECT_EQ(wrongLibrary(list).size(), 1U);
}

TEST(LibraryPlace, LibavOutsideFootageAndFilmIsFound)
{
    EXPECT_EQ(wrongLibrary(including("core/trace/a.cpp", "<libavutil/frame.h>")).size(), 1U);
    EXPECT_EQ(wrongLibrary(including("ui/a.cpp", "<libswscale/swscale.h>")).size(), 1U);
    EXPECT_TRUE(wrongLibrary(including("core/film/a.cpp", "<libavutil/frame.h>")).empty());
}

TEST(LibraryPlace, SqliteOutsideTheStoreIsFound)
{
    EXPECT_EQ(wrongLibrary(including("core/session/a.cpp", "<SQLiteCpp/Database.h>")).size(), 1U);
    EXPECT_EQ(wrongLibrary(including("ui/a.cpp", "<sqlite3.h>")).size(), 1U);
    EXPECT_TRUE(
        wrongLibrary(including("core/session/store/a.cpp", "<SQLiteCpp/Database.h>")).empty());
}

TEST(LibraryPlace, SecondFileWithTheSlowHeaderIsFound)
{
    EXPECT_EQ(wrongLibrary(including("app/main.cpp", "<CLI/CLI.hpp>")).size(), 1U);
    EXPECT_EQ(wrongLibrary(including("ui/pages/a.cpp", "<qcustomplot.h>")).size(), 1U);
}

TEST(LicenceLine, MissingOneIsFound)
{
    EXPECT_EQ(missingLicence({"core/base/a.h", "#pragma once\n"}).size(), 1U);
    EXPECT_EQ(missingLicence({"app/run", "#!/usr/bin/env bash\n"}).size(), 1U);
}

TEST(LicenceLine, MayFollowAnInterpreterLine)
{
    const SourceFile script {
        "app/run", "#!/usr/bin/env bash\n# SPDX-License-Identifier: GPL-3.0-or-later\n"};
    EXPECT_TRUE(missingLicence(script).empty());
}

TEST(FileLength, FiveHundredLinesPassAndOneMoreFails)
{
    const std::string longest(500, '\n');
    EXPECT_TRUE(tooLong({"core/base/a.cpp", longest}).empty());
    EXPECT_EQ(tooLong({"core/base/a.cpp", longest + "\n"}).size(), 1U);
}

} // namespace

} // namespace twinlamp::tests
