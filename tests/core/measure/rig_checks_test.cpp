// SPDX-License-Identifier: GPL-3.0-or-later
// Simulated clips with known truth. Whether 95 of 100 intervals hold it takes hundreds of clips:
// that is run by hand; here a few fixed ones must not be far off.
#include "core/film/film.h"
#include "core/measure/rig_checks.h"
#include "tests/support/temporary_folder.h"

#include <cmath>
#include <gtest/gtest.h>

namespace twinlamp::measure {

namespace {

film::Scene sceneOf(std::uint64_t seed, double lineTimeUs)
{
    film::Scene scene;
    scene.seed = seed;
    scene.widthPx = 256;
    scene.heightPx = 192;
    scene.view = film::GoggleView::Direct;
    scene.camera.captureRate = {480, 1};
    scene.camera.exposureMs = 1.6;
    scene.camera.lineTimeUs = lineTimeUs;
    scene.file.playRate = FrameRate {30, 1};
    scene.referenceLamp.x = 52;
    scene.referenceLamp.y = 52;
    scene.panel.rect = {140, 20, 100, 150};
    scene.panel.lampImage.y = 0.7;
    scene.lamps.skewMs = -0.3;
    scene.lamps.programme.presses = 8;
    scene.lamps.programme.startMs = 120;
    scene.lamps.programme.holdMs = {120, 180};
    scene.lamps.programme.gapMs = {120, 180};
    return scene;
}

class RigChecks : public ::testing::Test
{
protected:
    std::filesystem::path filmed(const film::Scene& scene)
    {
        auto clip = m_folder / ("clip" + std::to_string(scene.seed) + ".mp4");
        const auto report = film::filmScene(scene, clip, {});
        EXPECT_TRUE(report.hasValue()) << (report.isError() ? report.error().detail : "");
        return clip;
    }

    static MeasureOptions at480()
    {
        MeasureOptions options;
        options.captureRate = FrameRate {480, 1};
        options.exposureMs = 1.6;
        return options;
    }

    tests::TemporaryFolder m_folder;
};

/// Twice the half width is beyond what a fixed clip of a good method reaches.
constexpr double farOff = 2.0;

} // namespace

TEST_F(RigChecks, ZeroCheckOfARollingShutterFindsBothFigures)
{
    const auto checked = zeroCheck(filmed(sceneOf(11, -9.0)), at480(), {});
    ASSERT_TRUE(checked.hasValue()) << checked.error().detail;
    const auto& zero = std::get<ZeroFigures>(checked.value().result.figures);
    EXPECT_LE(std::abs(zero.differenceMs + 0.3), farOff * zero.uncertaintyMs);
    ASSERT_TRUE(zero.lineTimeUs && zero.lineTimeUncertaintyUs);
    EXPECT_LE(std::abs(*zero.lineTimeUs + 9.0), farOff * *zero.lineTimeUncertaintyUs);
    EXPECT_LT(zero.uncertaintyMs, 0.1) << "a twentieth of a frame";
    EXPECT_FALSE(hasFlag(checked.value().result.flags, Flag::RowSkewInside));
    EXPECT_EQ(checked.value().regionSource, RegionSource::Located);
}

TEST_F(RigChecks, LampsOfOneRowLeaveTheSkewInside)
{
    film::Scene scene = sceneOf(12, 9.0);
    MeasureOptions options = at480();
    options.reference = RectPx {42, 50, 20, 2};
    options.goggle = RectPx {180, 122, 20, 2};
    const auto checked = zeroCheck(filmed(scene), options, {});
    ASSERT_TRUE(checked.hasValue()) << checked.error().detail;
    const auto& result = checked.value().result;
    const auto& zero = std::get<ZeroFigures>(result.figures);
    EXPECT_FALSE(zero.lineTimeUs);
    EXPECT_TRUE(hasFlag(result.flags, Flag::RowSkewInside));
    // The goggle lamp's rows are exposed 72 line times later: it seems to switch that much earlier.
    EXPECT_NEAR(zero.differenceMs, -0.3 - 72 * 9e-3, 0.1);
}

TEST_F(RigChecks, TimeBaseCheckOfAnUnlabelledClipFindsTheRate)
{
    film::Scene scene = sceneOf(13, 0.0);
    scene.camera.captureRate = {240, 1};
    scene.camera.exposureMs = 3.0;
    scene.camera.rateErrorPpm = 1500.0;
    scene.lamps.programme.kind = film::ProgrammeKind::Periodic;
    scene.lamps.programme.periodMs = 1100.0;
    scene.lamps.programme.presses = 6;
    MeasureOptions options;
    options.exposureMs = 3.0;
    const auto checked = timeBaseCheck(filmed(scene), options, {1100.0, 0.0}, {});
    ASSERT_TRUE(checked.hasValue()) << checked.error().detail;
    const auto& rate = std::get<TimeBaseFigures>(checked.value().result.figures);
    const double truth = 240.0 * (1.0 + 1500e-6);
    EXPECT_LE(std::abs(rate.captureRateHz - truth), farOff * rate.uncertaintyHz);
    EXPECT_LT(rate.uncertaintyHz, 0.05);
    EXPECT_FALSE(rate.labelledRateHz);
    EXPECT_EQ(rate.cycles, 5);
    EXPECT_EQ(checked.value().clip.captureRateSource, RateSource::TimeBase);
}

TEST_F(RigChecks, StoppedCheckIsCancelled)
{
    std::stop_source stop;
    stop.request_stop();
    JobControl control;
    control.stop = stop.get_token();
    EXPECT_TRUE(zeroCheck(filmed(sceneOf(14, 0.0)), at480(), control).isCancelled());
}

} // namespace twinlamp::measure
