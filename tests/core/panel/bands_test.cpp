// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/homography.h"
#include "core/panel/bands.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

namespace twinlamp::panel {

namespace {

constexpr int columns = 12;
constexpr int rows = 12;
constexpr rig::CameraTiming camera {2.0, 1.5, 0.008, 480};

/// Two frames of an even panel.
class TestPanel
{
public:
    TestPanel()
        : m_light(2 * std::size_t {columns} * rows, 0.5F)
    {
    }

    [[nodiscard]] CellTraces between(const QuadPx& corners) const
    {
        return {columns, rows, m_light, boundingRect(corners), corners};
    }

    [[nodiscard]] CellTraces in(RectPx rect) const { return {columns, rows, m_light, rect}; }

private:
    std::vector<float> m_light;
};

std::vector<Band> allBands(const CellTraces& cells, Axis axis)
{
    return makeBands(cells, std::vector<bool>(cells.cellCount(), true), axis, camera);
}

TEST(Bands, OfARectangleAreTimedAlikeByItsCorners)
{
    const TestPanel panel;
    const RectPx rect {100, 60, 300, 240};
    const auto upright = allBands(panel.in(rect), Axis::Rows);
    const auto byCorners = allBands(panel.between(quadOf(rect)), Axis::Rows);
    ASSERT_EQ(upright.size(), std::size_t {rows});
    ASSERT_EQ(byCorners.size(), upright.size());
    for (std::size_t b = 0; b < upright.size(); ++b) {
        EXPECT_NEAR(byCorners[b].rows.meanRowMs(), upright[b].rows.meanRowMs(), 1e-9);
        // A band of h rows reaches over h - 1 of them from the first exposed to the last.
        EXPECT_NEAR(byCorners[b].alongMs, upright[b].alongMs + camera.lineTimeMs, 1e-9);
        EXPECT_NEAR(byCorners[b].acrossMs, 0.0, 1e-9);
    }
}

TEST(Bands, OfATurnedPanelAreTimedAtTheRowsOfTheirCells)
{
    const TestPanel panel;
    const QuadPx corners {{CornerPx {120, 40}, {380, 95}, {352, 290}, {84, 240}}};
    const auto bands = allBands(panel.between(corners), Axis::Rows);
    const Homography map(corners);
    constexpr int fine = 200;
    for (std::size_t b = 0; b < bands.size(); ++b) {
        // The mean row, and the spread of the rows across, from many points of the band.
        double sum = 0.0;
        double squares = 0.0;
        for (int i = 0; i < fine; ++i) {
            for (int j = 0; j < fine; ++j) {
                const double v = (static_cast<double>(b) + (j + 0.5) / fine) / rows;
                sum += map.toPicture({(i + 0.5) / fine, v}).y - 0.5;
            }
            const double middle = (static_cast<double>(b) + 0.5) / rows;
            const double row = map.toPicture({(i + 0.5) / fine, middle}).y;
            squares += row * row;
        }
        const double mean = sum / (fine * fine);
        // A twentieth of a row: the perspective within a cell.
        EXPECT_NEAR(bands[b].rows.meanRowMs(), camera.lineTimeMs * mean, 0.05 * camera.lineTimeMs);
        const double variance = squares / fine - (mean + 0.5) * (mean + 0.5);
        EXPECT_NEAR(bands[b].acrossMs, camera.lineTimeMs * std::sqrt(12.0 * variance),
            0.02 * bands[b].acrossMs);
    }
}

TEST(Bands, OfAPanelUpsideDownAreExposedAgainstTheirOrder)
{
    const TestPanel panel;
    QuadPx corners = quadOf({100, 60, 300, 240});
    std::rotate(corners.corners.begin(), corners.corners.begin() + 2, corners.corners.end());
    const auto bands = allBands(panel.between(corners), Axis::Rows);
    EXPECT_NEAR(bands.front().alongMs, -20.0 * camera.lineTimeMs, 1e-9);
    EXPECT_NEAR(bands.front().rows.meanRowMs(), camera.lineTimeMs * (60 + 240 - 10 - 0.5), 1e-9);
    EXPECT_GT(bands.front().rows.meanRowMs(), bands.back().rows.meanRowMs());
}

TEST(Bands, OfAPanelOnItsSideAreExposedTogether)
{
    const TestPanel panel;
    QuadPx corners = quadOf({100, 60, 300, 240});
    std::rotate(corners.corners.begin(), corners.corners.begin() + 1, corners.corners.end());
    const auto bands = allBands(panel.between(corners), Axis::Rows);
    for (const Band& band : bands) {
        EXPECT_NEAR(band.alongMs, 0.0, 1e-9);
        EXPECT_NEAR(band.acrossMs, 240.0 * camera.lineTimeMs, 1e-9);
        EXPECT_NEAR(band.rows.meanRowMs(), camera.lineTimeMs * 179.5, 1e-9);
    }
}

TEST(SeenRamp, IsLessWithTheCamerasRowsAndMoreAgainstThem)
{
    Band band;
    band.alongMs = 0.2;
    EXPECT_NEAR(seenRampMs(band, 1.0, 1), 0.8, 1e-12);
    EXPECT_NEAR(seenRampMs(band, 1.0, -1), 1.2, 1e-12);
    EXPECT_NEAR(seenRampMs(band, 1.0, 0), 1.0, 1e-12);
    band.acrossMs = 0.6;
    EXPECT_NEAR(seenRampMs(band, 1.0, 1), 1.0, 1e-12) << "0.8 and 0.6, boxes one after the other";
}

} // namespace

} // namespace twinlamp::panel
