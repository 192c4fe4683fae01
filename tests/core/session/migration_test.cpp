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

/// A session file as the program of an older version wrote it, from the dump beside this test.
fs::path oldFileIn(const fs::path& folder, int version)
{
    fs::path path = folder / "old.twinlamp";
    std::ifstream dump(
        fs::path(TWINLAMP_SESSION_DUMPS) / ("version_" + std::to_string(version) + ".sql"));
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

constexpr int firstVersionWithHistory = 3;

class Migration : public testing::TestWithParam<int>
{
protected:
    samples::TemporaryFolder m_folder;
    fs::path m_path = oldFileIn(m_folder.path(), GetParam());
};

TEST_P(Migration, EveryValueOfTheOldFileIsKept)
{
    std::map<std::string, Columns> tables;
    std::map<std::string, std::vector<std::string>> before;
    {
        SQLite::Database old(m_path.string(), SQLite::OPEN_READONLY);
        ASSERT_EQ(schemaVersionOf(old), GetParam());
        tables = tablesOf(old);
        for (const auto& [table, columns] : tables) {
            before[table] = contentOf(old, table, columns);
        }
    }
    EXPECT_GE(tables.size(), 11U);
    EXPECT_GE(before["presses"].size(), 12U);
    {
        auto file = SessionFile::open(m_path, {OpenMode::Write, {}, {}});
        ASSERT_TRUE(file) << file.error().detail;
        ASSERT_TRUE(file->close());
    }
    SQLite::Database now(m_path.string(), SQLite::OPEN_READONLY);
    EXPECT_EQ(schemaVersionOf(now), currentSchemaVersion);
    for (const auto& [table, columns] : tables) {
        EXPECT_EQ(contentOf(now, table, columns), before[table]) << table;
    }
}

TEST_P(Migration, MigratedSessionTakesEditsAndRemembersThem)
{
    Session left;
    std::vector<HistoryEntry> history;
    {
        auto file = SessionFile::open(m_path, {OpenMode::Write, {}, {}});
        ASSERT_TRUE(file) << file.error().detail;
        history = file->history().value();
        EXPECT_EQ(!history.empty(), GetParam() >= firstVersionWithHistory);
        RigCheck check;
        check.id = newId<RigCheckId>();
        check.rig = file->session().rigs.front().id;
        check.date = "2026-05-17";
        check.result.figures = ZeroFigures {};
        samples::mustApply(*file, addRigCheck(file->session(), check));
        const SettingId setting = file->session().settings.front().id;
        samples::mustApply(*file, changeReadouts(file->session(), setting, {{23.5, "menu"}}));
        left = file->session();
    }
    const auto again = SessionFile::open(m_path, {OpenMode::ReadOnly, {}, {}});
    ASSERT_TRUE(again) << again.error().detail;
    EXPECT_EQ(again->session(), left);
    auto now = again->history().value();
    ASSERT_EQ(now.size(), history.size() + 2);
    now.resize(history.size());
    EXPECT_EQ(now, history);
}

TEST_P(Migration, ReadingAloneLeavesTheFileAsItIs)
{
    {
        const auto file = SessionFile::open(m_path, {OpenMode::ReadOnly, {}, {}});
        ASSERT_TRUE(file) << file.error().detail;
        EXPECT_GE(file->session().clips.size(), 3U);
        EXPECT_TRUE(file->traces(file->session().clips.back().measurement->traces));
        EXPECT_EQ(!file->history().value().empty(), GetParam() >= firstVersionWithHistory);
    }
    SQLite::Database old(m_path.string(), SQLite::OPEN_READONLY);
    EXPECT_EQ(schemaVersionOf(old), GetParam());
}

INSTANTIATE_TEST_SUITE_P(FromVersion, Migration, testing::Range(1, currentSchemaVersion),
    testing::PrintToStringParamName());

TEST(MigrationFromVersion1, ItsEntriesMeanWhatTheyMeant)
{
    const samples::TemporaryFolder folder;
    auto file = SessionFile::open(oldFileIn(folder.path(), 1), {OpenMode::Write, {}, {}});
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

TEST(MigrationFromVersion2, ItsEntriesMeanWhatTheyMeant)
{
    const samples::TemporaryFolder folder;
    auto file = SessionFile::open(oldFileIn(folder.path(), 2), {OpenMode::Write, {}, {}});
    ASSERT_TRUE(file) << file.error().detail;
    const Session& session = file->session();
    EXPECT_EQ(session.notes, "An invented campaign.");
    EXPECT_EQ(session.lateLimit, Latency {40'000'000});
    ASSERT_EQ(session.rigChecks.size(), 2U);
    EXPECT_EQ(session.rigChecks.front().result.flags, Flags {Flag::RowSkewInside});
    EXPECT_EQ(
        std::get<TimeBaseFigures>(session.rigChecks.back().result.figures).captureRateHz, 959.5);
    const LinkSetting* narrow = findSetting(session, "narrow");
    ASSERT_NE(narrow, nullptr);
    EXPECT_EQ(narrow->conditions.bitRateMbit, 12.0);
    EXPECT_EQ(narrow->conditions.linkFrameRate, (FrameRate {60000, 1001}));
    EXPECT_EQ(narrow->conditions.lampPlace, "top left");
    EXPECT_TRUE(narrow->readouts.empty());
    const Clip* clip = findClip(session, "hash1");
    ASSERT_NE(clip, nullptr);
    EXPECT_EQ(find(session, clip->run)->name, "run 2");
    EXPECT_TRUE(clip->readouts.empty());
    ASSERT_EQ(clip->corrections.size(), 2U);
    EXPECT_EQ(clip->corrections.front().marks.front(),
        (MarkCorrection {Mark::FirstLight, RealTime {12'000'000}}));
    EXPECT_EQ(clip->corrections.back().choice, (HandChoice {false, "hand shook"}));
    EXPECT_TRUE(clip->measurement->options.fromRig.zero);
    const Press& press = clip->measurement->presses.front();
    EXPECT_EQ(press.goggleModel, (ModelStretch {9, {0.2F, 0.75F}}));
    EXPECT_EQ(
        press.parts.back(), (UncertaintyPart {UncertaintySource::LampResponse, 0.03, true, 12.5}));
    EXPECT_EQ((*file->traces(clip->measurement->traces))->frameCount(), 48U);
}

TEST(MigrationFromVersion3, ItsEntriesMeanWhatTheyMeant)
{
    const samples::TemporaryFolder folder;
    auto file = SessionFile::open(oldFileIn(folder.path(), 3), {OpenMode::Write, {}, {}});
    ASSERT_TRUE(file) << file.error().detail;
    const Session& session = file->session();
    EXPECT_EQ(session.notes, "An invented campaign.");
    const Rig* rig = findRig(session, "tripod one");
    ASSERT_NE(rig, nullptr);
    EXPECT_EQ(rig->notes, "floor");
    EXPECT_EQ(rig->zeroUncertaintyMs, 0.01);
    EXPECT_FALSE(rig->shortestHold) << "nobody stated one";
    EXPECT_EQ(
        findSetting(session, "narrow")->readouts, (std::vector<SettingReadout> {{22.5, "menu"}}));
    ASSERT_EQ(session.clips.size(), 3U);
    // The usual hold stood for none.
    EXPECT_FALSE(session.clips[0].options.shortestHoldMs);
    EXPECT_FALSE(session.clips[0].measurement->options.shortestHoldMs);
    EXPECT_EQ(session.clips[1].options.shortestHoldMs, 80.5);
    EXPECT_EQ(session.clips[1].measurement->options.shortestHoldMs, 80.5);
    EXPECT_EQ(session.clips[1].options.scan, ScanMode::Sparse);
    EXPECT_TRUE(session.clips[0].measurement->options.fromRig.zero);
    EXPECT_FALSE(session.clips[0].measurement->options.fromRig.shortestHold);
    EXPECT_EQ(session.clips[0].readouts, (std::vector<PressReadout> {{1, 27.0}}));
    ASSERT_EQ(session.clips[1].corrections.size(), 1U);
    EXPECT_EQ(session.clips[1].corrections[0].choice, (HandChoice {false, "hand shook"}));
    EXPECT_EQ((*file->traces(session.clips[2].measurement->traces))->frameCount(), 50U);
    ASSERT_EQ(file->history()->size(), 17U);
    EXPECT_EQ(file->history()->front().who, "a tester");
    EXPECT_EQ(english(file->history()->back().label), "set press 3 aside");
}

} // namespace
} // namespace twinlamp::session::store
