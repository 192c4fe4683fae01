// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/session_file.h"
#include "tests/core/session/session_samples.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <array>
#include <cstring>
#include <fstream>
#include <gtest/gtest.h>
#include <limits>
#include <thread>

namespace twinlamp::session::store {
namespace {

namespace fs = std::filesystem;
using samples::mustApply;

const OpenOptions forWriting {OpenMode::Write, {}, {}};
const OpenOptions readOnly {OpenMode::ReadOnly, {}, {}};

class SessionFileTest : public ::testing::Test
{
protected:
    SessionFile created(const char* name = "bench.twinlamp")
    {
        auto file = SessionFile::create(m_folder / name, "bench");
        EXPECT_TRUE(file) << (file ? "" : file.error().detail);
        return std::move(*file);
    }

    samples::TemporaryFolder m_folder;
    samples::Random m_random {1234};
};

TEST_F(SessionFileTest, NewSessionIsEmptyAndOneFileWhenClosed)
{
    auto file = created();
    EXPECT_EQ(file.session(), (Session {"bench", {}, {}, {}, {}, {}, {}, {}}));
    ASSERT_TRUE(file.close());
    EXPECT_EQ(m_folder.names(), std::vector<std::string> {"bench.twinlamp"});
}

TEST_F(SessionFileTest, ExistingFileIsNotOverwritten)
{
    std::ofstream(m_folder / "bench.twinlamp") << "precious";
    const auto file = SessionFile::create(m_folder / "bench.twinlamp", "bench");
    ASSERT_FALSE(file);
    EXPECT_EQ(file.error().why, Cause::InvalidValue);
    EXPECT_EQ(fs::file_size(m_folder / "bench.twinlamp"), 8U);
    EXPECT_EQ(m_folder.names(), std::vector<std::string> {"bench.twinlamp"});
}

TEST_F(SessionFileTest, FolderThatDoesNotExistIsAnError)
{
    const auto file = SessionFile::create(m_folder / "no/such/bench.twinlamp", "bench");
    ASSERT_FALSE(file);
    EXPECT_EQ(file.error().why, Cause::NoAccess);
}

TEST_F(SessionFileTest, TracesComeBackBitByBit)
{
    ClipResult result = samples::clipResult(m_random, 4, 1000);
    result.traces.goggle[17] = std::numeric_limits<float>::quiet_NaN();
    const ClipTraces traces = result.traces;
    TracesId id;
    {
        auto file = created();
        const auto setting = newId<SettingId>();
        const auto run = newId<RunId>();
        Clip clip;
        clip.id = newId<ClipId>();
        clip.run = run;
        clip.measurement = *file.keep(std::move(result), {});
        id = clip.measurement->traces;
        mustApply(file, addSetting(file.session(), setting, "narrow"));
        mustApply(file, addRun(file.session(), run, setting, "run 1"));
        mustApply(file, addClip(file.session(), clip));
    }
    const auto file = SessionFile::open(m_folder / "bench.twinlamp", readOnly);
    ASSERT_TRUE(file) << file.error().detail;
    const auto back = file->traces(id);
    ASSERT_TRUE(back) << back.error().detail;
    EXPECT_EQ((*back)->exposureStart, traces.exposureStart);
    EXPECT_EQ((*back)->reference, traces.reference);
    EXPECT_EQ((*back)->panel, traces.panel);
    ASSERT_EQ((*back)->goggle.size(), traces.goggle.size());
    EXPECT_EQ(
        std::memcmp((*back)->goggle.data(), traces.goggle.data(), 4 * traces.goggle.size()), 0);
    EXPECT_EQ(*file->traces(id), *back) << "shared while in use";
    EXPECT_EQ(*file->traces({}), nullptr);
}

TEST_F(SessionFileTest, CornersOfAPanelComeBack)
{
    const QuadPx corners {{CornerPx {-4, 30}, {300, 12}, {310, 250}, {6, 240}}};
    ClipResult result = samples::clipResult(m_random, 1, 20);
    setPanelCorners(result.regions, corners);
    measure::MeasureOptions options;
    setPanelCorners(options, corners);
    Clip clip;
    clip.id = newId<ClipId>();
    clip.run = newId<RunId>();
    clip.options = options;
    {
        auto file = created();
        const auto setting = newId<SettingId>();
        clip.measurement = *file.keep(std::move(result), options);
        mustApply(file, addSetting(file.session(), setting, "narrow"));
        mustApply(file, addRun(file.session(), clip.run, setting, "run 1"));
        mustApply(file, addClip(file.session(), clip));
    }
    const auto file = SessionFile::open(m_folder / "bench.twinlamp", readOnly);
    ASSERT_TRUE(file) << file.error().detail;
    const Clip& back = file->session().clips.front();
    EXPECT_EQ(back.options.panelCorners, corners);
    EXPECT_EQ(back.options.panel, boundingRect(corners));
    EXPECT_EQ(back.measurement->options.panelCorners, corners);
    EXPECT_EQ(back.measurement->regions.panelCorners, corners);
}

TEST_F(SessionFileTest, TracesThatNoClipUsesGoWhenItIsClosed)
{
    auto file = created();
    const auto kept = file.keep(samples::clipResult(m_random, 4, 20000), {});
    ASSERT_TRUE(kept);
    EXPECT_EQ((*file.traces((*kept)->traces))->frameCount(), 20000U);
    ASSERT_TRUE(file.close());
    EXPECT_LT(fs::file_size(file.path()), 200'000U);
    const auto gone = SessionFile::open(m_folder / "bench.twinlamp", readOnly);
    ASSERT_TRUE(gone);
    EXPECT_EQ(gone->traces((*kept)->traces).error().why, Cause::NotFound);
}

TEST_F(SessionFileTest, SecondWriterIsTurnedAwayAndTheSecondWindowReads)
{
    auto first = created();
    const auto second = SessionFile::open(first.path(), forWriting);
    ASSERT_FALSE(second);
    EXPECT_EQ(second.error().why, Cause::Busy);
    EXPECT_NE(
        second.error().detail.find("is open in another window or command"), std::string::npos);

    auto window = SessionFile::open(first.path());
    ASSERT_TRUE(window);
    EXPECT_TRUE(window->isReadOnly());
    EXPECT_EQ(window->apply(changeInfo(window->session(), {"other", {}, {}})).error().why,
        Cause::NoAccess);

    mustApply(first, addSetting(first.session(), newId<SettingId>(), "narrow"));
    EXPECT_TRUE(window->session().settings.empty());
    EXPECT_EQ(window->refresh(), Result<bool>(true));
    EXPECT_EQ(window->session(), first.session());
    EXPECT_EQ(window->refresh(), Result<bool>(false));

    ASSERT_TRUE(first.close());
    EXPECT_EQ(m_folder.names(), std::vector<std::string> {"bench.twinlamp"})
        << "a reader does not keep the writer from leaving one file";
    EXPECT_TRUE(SessionFile::open(first.path(), forWriting));
}

TEST_F(SessionFileTest, WriterWaitsForTheOneBeforeIt)
{
    auto first = std::make_unique<SessionFile>(created());
    const fs::path path = first->path();
    std::jthread closer([&first] {
        std::this_thread::sleep_for(std::chrono::milliseconds(200));
        first.reset();
    });
    const auto second = SessionFile::open(path, {OpenMode::Write, std::chrono::seconds(20), {}});
    EXPECT_TRUE(second) << second.error().detail;
}

TEST_F(SessionFileTest, WaitingEndsInTimeAndOnAStop)
{
    const auto first = created();
    const auto start = std::chrono::steady_clock::now();
    const auto late
        = SessionFile::open(first.path(), {OpenMode::Write, std::chrono::milliseconds(300), {}});
    EXPECT_EQ(late.error().why, Cause::Busy);
    EXPECT_GE(std::chrono::steady_clock::now() - start, std::chrono::milliseconds(300));

    std::stop_source stop;
    stop.request_stop();
    const auto stopped = SessionFile::open(
        first.path(), {OpenMode::Write, std::chrono::hours(1), stop.get_token()});
    EXPECT_EQ(stopped.error().why, Cause::Busy);
}

TEST_F(SessionFileTest, OtherNameOfTheSameFileIsTheSameSession)
{
    const auto first = created();
    fs::create_symlink(first.path(), m_folder / "link.twinlamp");
    EXPECT_EQ(SessionFile::open(m_folder / "link.twinlamp", forWriting).error().why, Cause::Busy);
}

TEST_F(SessionFileTest, ProtectedFileIsReadOnly)
{
    static_cast<void>(created());
    const fs::path path = m_folder / "bench.twinlamp";
    fs::permissions(path, fs::perms::owner_read, fs::perm_options::replace);
    const auto file = SessionFile::open(path);
    ASSERT_TRUE(file) << file.error().detail;
    EXPECT_TRUE(file->isReadOnly());
}

TEST_F(SessionFileTest, NewerVersionIsRefusedWithASentence)
{
    static_cast<void>(created());
    const fs::path path = m_folder / "bench.twinlamp";
    SQLite::Database(path.string(), SQLite::OPEN_READWRITE).exec("PRAGMA user_version = 999");
    for (const OpenOptions& options : {forWriting, readOnly}) {
        const auto file = SessionFile::open(path, options);
        ASSERT_FALSE(file);
        EXPECT_EQ(file.error().why, Cause::NewerVersion);
        EXPECT_EQ(file.error().detail,
            path.string()
                + " was written by a newer version of this program; install that version to open "
                  "it");
    }
}

TEST_F(SessionFileTest, OtherFilesAreRefusedAndLeftAlone)
{
    std::ofstream(m_folder / "empty.twinlamp").flush();
    std::ofstream(m_folder / "text.twinlamp") << std::string(5000, 'x');
    SQLite::Database(
        (m_folder / "foreign.twinlamp").string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE)
        .exec("CREATE TABLE t (a)");
    fs::create_directory(m_folder / "folder.twinlamp");
    for (const char* name : {"empty.twinlamp", "text.twinlamp", "foreign.twinlamp"}) {
        std::ifstream before(m_folder / name, std::ios::binary);
        const std::string bytes(std::istreambuf_iterator<char>(before), {});
        for (const OpenOptions& options : {forWriting, readOnly}) {
            const auto file = SessionFile::open(m_folder / name, options);
            ASSERT_FALSE(file) << name;
            EXPECT_EQ(file.error().why, Cause::Damaged) << file.error().detail;
            EXPECT_NE(file.error().detail.find(name), std::string::npos);
        }
        std::ifstream after(m_folder / name, std::ios::binary);
        EXPECT_EQ(std::string(std::istreambuf_iterator<char>(after), {}), bytes) << name;
    }
    EXPECT_EQ(SessionFile::open(m_folder / "folder.twinlamp").error().why, Cause::Damaged);
    EXPECT_EQ(SessionFile::open(m_folder / "none.twinlamp").error().why, Cause::NotFound);
    EXPECT_EQ(m_folder.names(),
        (std::vector<std::string> {
            "empty.twinlamp", "folder.twinlamp", "foreign.twinlamp", "text.twinlamp"}));
}

TEST_F(SessionFileTest, DamagedRowsAreAnError)
{
    {
        auto file = created();
        const auto setting = newId<SettingId>();
        const auto run = newId<RunId>();
        Clip clip;
        clip.id = newId<ClipId>();
        clip.run = run;
        clip.measurement = *file.keep(samples::clipResult(m_random, 2, 10), {});
        mustApply(file, addSetting(file.session(), setting, "narrow"));
        mustApply(file, addRun(file.session(), run, setting, "run 1"));
        mustApply(file, addClip(file.session(), clip));
    }
    const fs::path path = m_folder / "bench.twinlamp";
    SQLite::Database(path.string(), SQLite::OPEN_READWRITE)
        .exec("UPDATE presses SET flags = 'moonlight'");
    const auto file = SessionFile::open(path);
    ASSERT_FALSE(file);
    EXPECT_EQ(file.error().why, Cause::Damaged);
    EXPECT_NE(file.error().detail.find("moonlight"), std::string::npos);
}

TEST_F(SessionFileTest, EditThatBreaksTheFileChangesNothing)
{
    auto file = created();
    mustApply(file, addSetting(file.session(), newId<SettingId>(), "narrow"));
    const Session before = file.session();
    // A run of a setting that does not exist: the database refuses it at the commit.
    const Edit orphan {{"edit-add-run", {"run 1", "?"}},
        {EntryChange<session::Run> {
            std::nullopt, session::Run {newId<RunId>(), 0, newId<SettingId>(), "run 1", {}}}},
        {}};
    EXPECT_FALSE(file.apply(orphan));
    EXPECT_EQ(file.session(), before);
    mustApply(file, addSetting(file.session(), newId<SettingId>(), "wide"));
    ASSERT_TRUE(file.close());
    EXPECT_EQ(SessionFile::open(file.path(), readOnly)->session(), file.session());
}

TEST_F(SessionFileTest, CopyIsWholeAndFindsItsClips)
{
    auto file = created();
    const auto setting = newId<SettingId>();
    const auto run = newId<RunId>();
    Clip clip;
    clip.id = newId<ClipId>();
    clip.run = run;
    clip.file = {"clips/a.mp4", "/gone/a.mp4", "aa", 1};
    clip.measurement = *file.keep(samples::clipResult(m_random, 2, 10), {});
    mustApply(file, addSetting(file.session(), setting, "narrow"));
    mustApply(file, addRun(file.session(), run, setting, "run 1"));
    mustApply(file, addClip(file.session(), clip));
    fs::create_directory(m_folder / "copies");
    const auto copied = file.copyTo(m_folder / "copies/copy.twinlamp");
    ASSERT_TRUE(copied) << copied.error().detail;
    EXPECT_EQ(std::distance(fs::directory_iterator(m_folder / "copies"), {}), 1);

    const auto copy = SessionFile::open(m_folder / "copies/copy.twinlamp", readOnly);
    ASSERT_TRUE(copy) << copy.error().detail;
    Session expected = file.session();
    expected.clips[0].file.relativePath = "../clips/a.mp4";
    EXPECT_EQ(copy->session(), expected);
    EXPECT_EQ((*copy->traces(clip.measurement->traces))->frameCount(), 10U);
    EXPECT_EQ(file.copyTo(file.path()).error().why, Cause::Busy) << "onto itself";
}

std::string bytesOf(const fs::path& file)
{
    std::ifstream stream(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

TEST_F(SessionFileTest, CopyForPublishingNamesNoAccountAndNoFolder)
{
    auto file = created();
    const auto setting = newId<SettingId>();
    const auto run = newId<RunId>();
    mustApply(file, addSetting(file.session(), setting, "narrow"));
    mustApply(file, addRun(file.session(), run, setting, "run 1"));
    // One beside the session, one elsewhere, one that was elsewhere before.
    const std::array<ClipFile, 3> places {{
        {"clips/a.mp4", (m_folder / "clips/a.mp4").string(), "aa", 1},
        {"../../srv/secret place/b.mp4", "/srv/secret place/b.mp4", "bb", 1},
        {"/media/old place/c.mp4", "/media/old place/c.mp4", "cc", 1},
    }};
    ClipId last;
    for (const ClipFile& place : places) {
        ClipResult result = samples::clipResult(m_random, 2, 10);
        result.clip.file = place.absolutePath;
        result.notes.push_back({"an-id", {place.absolutePath}});
        Clip clip;
        clip.id = last = newId<ClipId>();
        clip.run = run;
        clip.file = place;
        clip.notes = "typed by hand";
        clip.measurement = *file.keep(std::move(result), {});
        mustApply(file, addClip(file.session(), clip));
    }
    mustApply(
        file, changeClipFile(file.session(), last, {"new/c.mp4", "/new place/c.mp4", "cc", 1}));
    ASSERT_TRUE(file.copyTo(m_folder / "copy.twinlamp", {true, true, false}));
    ASSERT_TRUE(file.close());

    const auto copy = SessionFile::open(m_folder / "copy.twinlamp", readOnly);
    ASSERT_TRUE(copy) << copy.error().detail;
    const Session& session = copy->session();
    ASSERT_EQ(session.clips.size(), 3U);
    EXPECT_EQ(session.clips[0].file, (ClipFile {"clips/a.mp4", "", "aa", 1}));
    EXPECT_EQ(session.clips[1].file, (ClipFile {"b.mp4", "", "bb", 1}));
    EXPECT_EQ(session.clips[2].file, (ClipFile {"new/c.mp4", "", "cc", 1}));
    EXPECT_EQ(session.clips[1].measurement->clip.file, "b.mp4");
    EXPECT_EQ(session.clips[1].measurement->notes.back().values[0], "b.mp4");
    EXPECT_EQ(session.clips[0].notes, "typed by hand");
    EXPECT_EQ(session.clips[0].measurement->presses, file.session().clips[0].measurement->presses);
    EXPECT_EQ((*copy->traces(session.clips[0].measurement->traces))->frameCount(), 10U);
    const std::vector<HistoryEntry> history = copy->history().value();
    ASSERT_EQ(history.size(), 6U);
    for (const HistoryEntry& entry : history) {
        EXPECT_EQ(entry.who, "");
    }
    // Nor does any page still hold what was taken out.
    const std::string bytes = bytesOf(m_folder / "copy.twinlamp");
    for (const std::string& hidden : {std::string("secret place"), std::string("old place"),
             std::string("new place"), m_folder.path().string()}) {
        EXPECT_EQ(bytes.find(hidden), std::string::npos) << hidden;
        EXPECT_NE(bytesOf(file.path()).find(hidden), std::string::npos) << hidden;
    }
}

TEST_F(SessionFileTest, MovedObjectGoesOnAndTheOldOneCloses)
{
    auto file = created("first.twinlamp");
    file = created("second.twinlamp");
    EXPECT_EQ(file.path().filename(), "second.twinlamp");
    mustApply(file, addSetting(file.session(), newId<SettingId>(), "narrow"));
    EXPECT_TRUE(SessionFile::open(m_folder / "first.twinlamp", forWriting)) << "lock given back";
}

} // namespace
} // namespace twinlamp::session::store
