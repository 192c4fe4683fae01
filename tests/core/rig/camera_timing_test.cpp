// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/rig/camera_timing.h"

#include <gtest/gtest.h>

namespace twinlamp::rig {

namespace {

// Arithmetic of a rolling shutter: 240 frames/s, 1080 rows read out in 3.6 ms, so 3.333333 us from
// row to row.
constexpr double lineTimeMs = 3.6 / 1080.0;

TEST(RegionTiming, RowsFiveHundredApartDifferBy1Point667Ms)
{
    const CameraTiming camera {1000.0 / 240.0, 1.0, lineTimeMs, 1080};
    const RegionTiming reference = regionTiming(camera, {100, 300, 20, 1});
    const RegionTiming goggle = regionTiming(camera, {100, 800, 20, 1});
    EXPECT_NEAR(goggle.meanRowMs() - reference.meanRowMs(), 1.666667, 1e-6);
}

// The same camera: the reference lamp at row 300 lights 0.3 of an exposure of 1 ms in frame 100,
// the goggle lamp at row 800 lights 0.6 of one in frame 106. Worked by hand: onset = frame + row +
// E - f E.
TEST(RegionTiming, WorkedLatencyHasTheRowsInIt)
{
    constexpr double frameMs = 1000.0 / 240.0;
    const CameraTiming camera {frameMs, 1.0, lineTimeMs, 1080};
    const auto onset = [&](int frame, int row, double fraction) {
        return frame * frameMs + regionTiming(camera, {100, row, 20, 1}).meanRowMs() + 1.0
            - fraction;
    };
    EXPECT_NEAR(onset(100, 300, 0.3), 418.366667, 1e-6);
    EXPECT_NEAR(onset(106, 800, 0.6), 444.733333, 1e-6);
    EXPECT_NEAR(onset(106, 800, 0.6) - onset(100, 300, 0.3), 26.366667, 1e-6);
    EXPECT_NEAR(onset(106, 800, 0.6) - onset(100, 800, 0.3), 24.7, 1e-6);
}

TEST(RegionTiming, BottomRowComesFirstWhereTheLineTimeIsNegative)
{
    const CameraTiming camera {1000.0 / 240.0, 1.0, -lineTimeMs, 1080};
    EXPECT_NEAR(regionTiming(camera, {0, 0, 20, 1}).firstRowMs, 0.0, 1e-12);
    EXPECT_NEAR(regionTiming(camera, {0, 1079, 20, 1}).firstRowMs, -1079 * lineTimeMs, 1e-9);
    const RegionTiming region = regionTiming(camera, {0, 500, 20, 100});
    EXPECT_NEAR(region.firstRowMs, -599 * lineTimeMs, 1e-9);
    EXPECT_NEAR(region.smearMs, 99 * lineTimeMs, 1e-9);
}

TEST(RegionTiming, ARegionSmearsOverItsRows)
{
    // 1080 rows in 8 ms: a region of 100 rows smears an edge by 0.74 ms.
    const CameraTiming camera {1000.0 / 120.0, 1.0, 8.0 / 1080.0, 1080};
    EXPECT_NEAR(regionTiming(camera, {0, 0, 20, 100}).smearMs, 0.740741, 0.008);
}

TEST(CameraTiming, GapIsWhatTheExposureLeaves)
{
    EXPECT_NEAR((CameraTiming {4.0, 1.0, 0.0, 720}).gapMs(), 3.0, 1e-12);
    EXPECT_EQ((CameraTiming {4.0, 5.0, 0.0, 720}).gapMs(), 0.0);
}

} // namespace

} // namespace twinlamp::rig
