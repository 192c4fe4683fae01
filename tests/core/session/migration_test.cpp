// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/schema.h"
#include "core/session/store/session_file.h"
#include "tests/core/session/session_samples.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <algorithm>
#include <fstream>
#include <gtest/gtest.h>
#include <map>

namespace twinlamp::session::store {
namespace {

namespace fs = std::filesystem;

/// A session file as the program of version 1 wrote it, from the dump beside this test.
fs::path version1In(const fs::path& folder)
{
    fs::path path = folder / "old.twinlamp";
    std::ifstream dump(fs::path(TWINLAMP_SESSION_DUMPS) / "version_1.sql");
    EXPECT_TRUE(dump);
    const std::string sql(std::istreambuf_iterator<char>(dump), {});
    SQLite::Database(path.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE).exec(sql);
    return path;
}

using Columns = std::vector<std::string>;

std::map<std::string, Columns> tablesOf(SQLite::Database& database)
{
    std::map<std::string, Columns> tables;
    SQLite::Statement names(database, "SELECT name FROM sqlite_master WHERE type = 'table'");
    while (names.executeStep()) {
        const std::string table = names.getColumn(0).getString();
        SQLite::Statement columns(database, "SELECT name FROM pragma_table_info('" + table + "')");
        while (columns.executeStep()) {
            tables[table].push_back(columns.getColumn(0).getString());
        }
    }
    return tables;
}

/// Every value of the given columns, row by row; blobs as hex.
std::vector<std::string> contentOf(
    SQLite::Database& database, const std::string& table, const Columns& columns)
{
    std::vector<std::string> rows;
    std::string list;
    for (const std::string& column : columns) {
        list += (list.empty() ? "quote(" : " || ',' || quote(") + column + ")";
    }
    SQLite::Statement select(database, "SELECT " + list + " FROM " + table);
    while (select.executeStep()) {
        rows.push_back(select.getColumn(0).getString());
    }
    std::ranges::sort(rows);
    return rows;
}

TEST(MigrationFromVersion1, EveryValueOfTheOldFileIsKept)
{
    const samples::TemporaryFolder folder;
    const fs::path path = version1In(folder.path());
    std::map<std::string, Columns> tables;
    std::map<std::string, std::vector<std::string>> before;
    {
        SQLite::Database old(path.string(), SQLite::OPEN_READONLY);
        ASSERT_EQ(schemaVersionOf(old), 1);
        tables = tablesOf(old);
        for (const auto& [table, columns] : tables) {
            before[table] = contentOf(old, table, columns);
        }
    }
    EXPECT_EQ(tables.size(), 11U);
    EXPECT_EQ(before["presses"].size(), 12U);
    {
        auto file = SessionFile::open(path, {OpenMode::Write, {}, {}});
        ASSERT_TRUE(file) << file.error().detail;
        ASSERT_TRUE(file->close());
    }
    SQLite::Database now(path.string(), SQLite::OPEN_READONLY);
    EXPECT_EQ(schemaVersionOf(now), currentSchemaVersion);
    for (const auto& [table, columns] : tables) {
        EXPECT_EQ(contentOf(now, table, columns), before[table]) << table;
    }
}

TEST(MigrationFromVersion1, ItsEntriesMeanWhatTheyMeant)
{
    const samples::TemporaryFolder folder;
    auto file = SessionFile::open(version1In(folder.path()), {OpenMode::Write, {}, {}});
    ASSERT_TRUE(file) << file.error().detail;
    const Session& session = file->session();
    EXPECT_EQ(session.settings.size(), 4U);
    EXPECT_EQ(session.clips.size(), 4U);
    EXPECT_TRUE(session.rigChecks.empty());
    const Rig* rig = findRig(session, "tripod one");
    ASSERT_NE(rig, nullptr);
    EXPECT_EQ(rig->captureRate, (FrameRate {960, 1}));
    EXPECT_EQ(rig->lineTimeUs, -7.25);
    const Clip& clip = session.clips.back();
    EXPECT_EQ(clip.rig, rig->id);
    ASSERT_TRUE(clip.measurement);
    ASSERT_EQ(clip.measurement->presses.size(), 12U);
    EXPECT_EQ(clip.measurement->options.zeroMs, -0.125);
    EXPECT_EQ(clip.measurement->options.fromRig, measure::FromRig {});
    EXPECT_FALSE(clip.measurement->options.captureRateUncertaintyHz);
    const Press& press = clip.measurement->presses.front();
    EXPECT_EQ(
        press.parts.front(), (UncertaintyPart {UncertaintySource::ReferenceOnset, 0.0213, false}));
    EXPECT_TRUE(press.referenceModel.light.empty());
    ASSERT_EQ(clip.corrections.size(), 1U);
    EXPECT_EQ(clip.corrections.front().choice, (HandChoice {false, "hand shook"}));
    const auto traces = file->traces(clip.measurement->traces);
    ASSERT_TRUE(traces) << traces.error().detail;
    EXPECT_GE((*traces)->frameCount(), 64U);
}

TEST(MigrationFromVersion1, MigratedSessionTakesEdits)
{
    const samples::TemporaryFolder folder;
    const fs::path path = version1In(folder.path());
    Session left;
    {
        auto file = SessionFile::open(path, {OpenMode::Write, {}, {}});
        ASSERT_TRUE(file) << file.error().detail;
        RigCheck check;
        check.id = newId<RigCheckId>();
        check.rig = file->session().rigs.front().id;
        check.date = "2026-05-17";
        check.result.figures = ZeroFigures {};
        samples::mustApply(*file, addRigCheck(file->session(), check));
        left = file->session();
    }
    const auto again = SessionFile::open(path, {OpenMode::ReadOnly, {}, {}});
    ASSERT_TRUE(again) << again.error().detail;
    EXPECT_EQ(again->session(), left);
}

TEST(MigrationFromVersion1, ReadingAloneLeavesTheFileAsItIs)
{
    const samples::TemporaryFolder folder;
    const fs::path path = version1In(folder.path());
    {
        const auto file = SessionFile::open(path, {OpenMode::ReadOnly, {}, {}});
        ASSERT_TRUE(file) << file.error().detail;
        EXPECT_EQ(file->session().clips.size(), 4U);
        EXPECT_TRUE(file->traces(file->session().clips.back().measurement->traces));
    }
    SQLite::Database old(path.string(), SQLite::OPEN_READONLY);
    EXPECT_EQ(schemaVersionOf(old), 1);
}

} // namespace
} // namespace twinlamp::session::store
