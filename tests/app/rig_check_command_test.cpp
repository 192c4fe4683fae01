// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/measure_command.h"
#include "app/commands/rig_check_command.h"
#include "core/film/film.h"
#include "core/report/session_overview.h"
#include "core/session/edit.h"
#include "core/session/store/session_file.h"
#include "tests/support/temporary_folder.h"

#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <sstream>

namespace twinlamp::commands {

namespace {

using ::testing::HasSubstr;
using Json = nlohmann::json;

film::Scene smallScene(std::uint64_t seed)
{
    film::Scene scene;
    scene.seed = seed;
    scene.widthPx = 256;
    scene.heightPx = 192;
    scene.view = film::GoggleView::Direct;
    scene.camera.captureRate = {240, 1};
    scene.camera.exposureMs = 3.2;
    scene.camera.lineTimeUs = 8.0;
    scene.file.playRate = FrameRate {30, 1};
    scene.referenceLamp.x = 50;
    scene.referenceLamp.y = 50;
    scene.panel.rect = {140, 20, 100, 150};
    scene.panel.lampImage.y = 0.7;
    return scene;
}

film::Scene zeroScene()
{
    film::Scene scene = smallScene(41);
    scene.lamps.skewMs = 0.4;
    scene.lamps.programme.presses = 8;
    scene.lamps.programme.startMs = 120;
    scene.lamps.programme.holdMs = {120, 200};
    scene.lamps.programme.gapMs = {120, 200};
    return scene;
}

film::Scene timeBaseScene()
{
    film::Scene scene = smallScene(42);
    scene.camera.rateErrorPpm = -1200.0;
    scene.lamps.programme.kind = film::ProgrammeKind::Periodic;
    scene.lamps.programme.presses = 4;
    scene.lamps.programme.periodMs = 2000.0;
    return scene;
}

std::filesystem::path filmed(
    const film::Scene& scene, const std::filesystem::path& folder, const char* name)
{
    auto clip = folder / name;
    const auto report = film::filmScene(scene, clip, {});
    EXPECT_TRUE(report.hasValue()) << (report.isError() ? report.error().detail : "");
    return clip;
}

/// Clips are filmed once for all cases.
class RigCheckCommand : public ::testing::Test
{
protected:
    static void SetUpTestSuite()
    {
        folder = std::make_unique<tests::TemporaryFolder>();
        zeroClip = filmed(zeroScene(), folder->path(), "zero.mp4");
        timeBaseClip = filmed(timeBaseScene(), folder->path(), "timebase.mp4");
    }

    static void TearDownTestSuite() { folder.reset(); }

    template<typename Arguments> ExitStatus run(const Arguments& arguments)
    {
        m_out.str({});
        m_err.str({});
        const CommandContext context {m_out, m_err, {}, false};
        if constexpr (std::is_same_v<Arguments, ZeroArguments>) {
            return runZero(arguments, context);
        } else if constexpr (std::is_same_v<Arguments, TimeBaseArguments>) {
            return runTimeBase(arguments, context);
        } else {
            return runMeasure(arguments, context);
        }
    }

    static ZeroArguments zero()
    {
        ZeroArguments arguments;
        arguments.clip = zeroClip;
        arguments.options.captureRate = FrameRate {240, 1};
        arguments.jsonFile = "-";
        return arguments;
    }

    static TimeBaseArguments timeBase()
    {
        TimeBaseArguments arguments;
        arguments.clip = timeBaseClip;
        arguments.period.ms = 2000.0;
        arguments.jsonFile = "-";
        return arguments;
    }

    [[nodiscard]] Json json() const { return Json::parse(m_out.str()); }

    static inline std::unique_ptr<tests::TemporaryFolder> folder;
    static inline std::filesystem::path zeroClip;
    static inline std::filesystem::path timeBaseClip;
    std::ostringstream m_out;
    std::ostringstream m_err;
};

TEST_F(RigCheckCommand, ZeroFindsTheDifferenceAndTheLineTime)
{
    ASSERT_EQ(run(zero()), ExitStatus::Done) << m_err.str();
    const Json check = json();
    EXPECT_NEAR(
        check["difference_ms"].get<double>(), 0.4, 1.5 * check["uncertainty_ms"].get<double>());
    EXPECT_NEAR(check["line_time_us"].get<double>(), 8.0,
        1.5 * check["line_time_uncertainty_us"].get<double>());
    EXPECT_LT(check["uncertainty_ms"].get<double>(), 0.4) << "a tenth of a frame";
    EXPECT_GE(check["edges"].get<int>(), 8);
    EXPECT_TRUE(check["flags"].is_array());
    EXPECT_EQ(check["line_time_source"], "fitted");
}

TEST_F(RigCheckCommand, LineTimeThatIsGivenStands)
{
    ZeroArguments arguments = zero();
    arguments.options.lineTimeUs = 8.0;
    arguments.options.exposureMs = 3.2;
    ASSERT_EQ(run(arguments), ExitStatus::Done) << m_err.str();
    EXPECT_EQ(json()["line_time_us"], 8.0);
    EXPECT_TRUE(json()["line_time_uncertainty_us"].is_null());
    EXPECT_NEAR(json()["difference_ms"].get<double>(), 0.4, 0.05);
}

TEST_F(RigCheckCommand, TimeBaseFindsTheTrueRateWithoutALabel)
{
    ASSERT_EQ(run(timeBase()), ExitStatus::Done) << m_err.str();
    const Json check = json();
    EXPECT_NEAR(check["capture_rate_hz"].get<double>(), 240.0 * (1.0 - 1200e-6),
        1.5 * check["uncertainty_hz"].get<double>());
    EXPECT_TRUE(check["labelled_rate_hz"].is_null());
    EXPECT_LT(check["uncertainty_hz"].get<double>(), 0.24) << "a thousandth";
}

TEST_F(RigCheckCommand, LabelIsComparedWith)
{
    TimeBaseArguments arguments = timeBase();
    arguments.options.captureRate = FrameRate {240, 1};
    arguments.jsonFile.clear();
    ASSERT_EQ(run(arguments), ExitStatus::Done) << m_err.str();
    EXPECT_THAT(m_out.str(), HasSubstr("ppm off the labelled 240 frames/s"));
}

TEST_F(RigCheckCommand, PeriodThatDoesNotFitIsAWrongWord)
{
    TimeBaseArguments arguments = timeBase();
    arguments.options.captureRate = FrameRate {240, 1};
    arguments.period.ms = 1000.0;
    EXPECT_EQ(run(arguments), ExitStatus::WrongWords);
    EXPECT_THAT(m_err.str(), HasSubstr("does not fit"));
    EXPECT_TRUE(m_out.str().empty());
}

TEST_F(RigCheckCommand, ZeroWithoutACaptureRateIsAWrongWord)
{
    ZeroArguments arguments = zero();
    arguments.options.captureRate.reset();
    EXPECT_EQ(run(arguments), ExitStatus::WrongWords);
    EXPECT_THAT(m_err.str(), HasSubstr("--capture-rate"));
}

TEST_F(RigCheckCommand, ClipThatIsNotThereIsUnreadable)
{
    ZeroArguments arguments = zero();
    arguments.clip = "no/such.mp4";
    EXPECT_EQ(run(arguments), ExitStatus::Unreadable);
}

TEST_F(RigCheckCommand, FiledChecksAreAppliedToClipsOfTheRig)
{
    const auto sessionFile = folder->path() / "bench.twinlamp";
    ZeroArguments zeroFiled = zero();
    zeroFiled.sessionFile = sessionFile;
    zeroFiled.rig = "tripod one";
    ASSERT_EQ(run(zeroFiled), ExitStatus::Done) << m_err.str();
    TimeBaseArguments timeFiled = timeBase();
    timeFiled.sessionFile = sessionFile;
    timeFiled.rig = "tripod one";
    ASSERT_EQ(run(timeFiled), ExitStatus::Done) << m_err.str();
    const double rate = json()["capture_rate_hz"].get<double>();

    film::Scene scene = zeroScene();
    scene.seed = 43;
    scene.view = film::GoggleView::Link;
    MeasureArguments measure;
    measure.clip = filmed(scene, folder->path(), "link.mp4");
    measure.sessionFile = sessionFile;
    measure.setting = "narrow";
    measure.rig = "tripod one";
    measure.jsonFile = "-";
    ASSERT_EQ(run(measure), ExitStatus::Done) << m_err.str();
    const Json result = json();
    EXPECT_EQ(result["clip"]["capture_rate_source"], "time-base");
    EXPECT_NEAR(result["clip"]["capture_rate_hz"].get<double>(), rate, 1e-6);
    EXPECT_THAT(result["notes"].dump(), HasSubstr("Zero check of 2"));
    EXPECT_THAT(result["notes"].dump(), HasSubstr("Time-base check of 2"));
    EXPECT_THAT(result["notes"].dump(), ::testing::Not(HasSubstr("No zero check")));

    // The same clip again, with no rig named: the session knows it.
    measure.rig.clear();
    ASSERT_EQ(run(measure), ExitStatus::Done) << m_err.str();
    EXPECT_EQ(json()["clip"]["capture_rate_source"], "time-base");

    const auto opened = session::store::SessionFile::open(
        sessionFile, {session::store::OpenMode::ReadOnly, {}, {}});
    ASSERT_TRUE(opened) << opened.error().detail;
    ASSERT_EQ(opened->session().rigs.size(), 1U);
    EXPECT_EQ(opened->session().rigChecks.size(), 2U);
    EXPECT_FALSE(opened->session().clips.front().options.captureRate)
        << "the rig's rate is not the tester's own";
}

TEST_F(RigCheckCommand, ShortestHoldOfTheRigServesASparseScan)
{
    film::Scene scene = zeroScene();
    scene.seed = 44;
    scene.view = film::GoggleView::Link;
    scene.file.gop = 12;
    scene.lamps.programme.presses = 4;
    scene.lamps.programme.startMs = 330;
    scene.lamps.programme.holdMs = {410, 600};
    scene.lamps.programme.gapMs = {410, 700};
    MeasureArguments measure;
    measure.clip = filmed(scene, folder->path(), "sparse.mp4");
    measure.options.captureRate = scene.camera.captureRate;
    measure.options.scan = ScanMode::Sparse;
    measure.sessionFile = folder->path() / "hold.twinlamp";
    measure.setting = "narrow";
    measure.rig = "tripod one";
    measure.jsonFile = "-";
    ASSERT_EQ(run(measure), ExitStatus::Done) << m_err.str();
    EXPECT_EQ(json()["scan"]["shortest_hold_ms"], 100.0);
    {
        auto file = session::store::SessionFile::open(
            measure.sessionFile, {session::store::OpenMode::Write, {}, {}});
        ASSERT_TRUE(file) << file.error().detail;
        session::Rig rig = file->session().rigs.front();
        rig.shortestHold = latencyFromMs(390.5);
        ASSERT_TRUE(file->apply(*session::changeRig(file->session(), rig)));
    }
    ASSERT_EQ(run(measure), ExitStatus::Done) << m_err.str();
    EXPECT_EQ(json()["scan"]["mode"], "sparse") << json()["notes"].dump();
    EXPECT_EQ(json()["scan"]["shortest_hold_ms"], 390.5);
    EXPECT_THAT(json()["notes"].dump(), HasSubstr("that the rig states"));
    const Json rigs = report::overviewJson(session::store::SessionFile::open(measure.sessionFile,
        {session::store::OpenMode::ReadOnly, {},
            {}})->session())["rigs"];
    EXPECT_EQ(rigs[0]["shortest_hold_ms"], 390.5);
    measure.options.shortestHoldMs = measure::usualShortestHoldMs;
    ASSERT_EQ(run(measure), ExitStatus::Done) << m_err.str();
    EXPECT_EQ(json()["scan"]["shortest_hold_ms"], 100.0) << "what the command says stands";
}

} // namespace

} // namespace twinlamp::commands
