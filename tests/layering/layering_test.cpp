// SPDX-License-Identifier: GPL-3.0-or-later
// The tree as it stands keeps its own rules.
#include "tests/layering/source_rules.h"

#include <algorithm>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <string_view>

namespace twinlamp::tests {

namespace {

const std::vector<SourceFile>& tree()
{
    static const std::vector<SourceFile> files = readSourceTree(TWINLAMP_SOURCE_DIR);
    return files;
}

Violations inTree(Violations (*rule)(const SourceFile&))
{
    Violations all;
    for (const SourceFile& file : tree()) {
        std::ranges::copy(rule(file), std::back_inserter(all));
    }
    return all;
}

bool hasFileBelow(std::string_view folder)
{
    return std::ranges::any_of(
        tree(), [folder](const SourceFile& file) { return file.path.starts_with(folder); });
}

TEST(SourceTree, IsReadAtAll)
{
    for (const char* folder :
        {"app/", "core/base/", "core/footage/", "tests/layering/", "cmake/"}) {
        EXPECT_TRUE(hasFileBelow(folder)) << folder;
    }
}

TEST(SourceTree, IncludesRunOneWay) { EXPECT_THAT(inTree(wrongDirection), testing::IsEmpty()); }

TEST(SourceTree, LibrariesKeepToTheirFolders)
{
    EXPECT_THAT(inTree(wrongLibrary), testing::IsEmpty());
}

TEST(SourceTree, EveryFileCarriesTheLicenceLine)
{
    EXPECT_THAT(inTree(missingLicence), testing::IsEmpty());
}

TEST(SourceTree, NoFileIsTooLong) { EXPECT_THAT(inTree(tooLong), testing::IsEmpty()); }

} // namespace

} // namespace twinlamp::tests
