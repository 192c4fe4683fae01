// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/pulse_sweep.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::measure {

namespace {

constexpr int cellsAcross = 4;
constexpr std::size_t frames = 1500;
constexpr double periodMs = 8.37;
constexpr double litMs = 2.4;
constexpr double exposureMs = 0.8;

struct Roll
{
    double downMs = 0.0; ///< from the first row of cells to the last
    double acrossMs = 0.0;
    double lineTimeMs = 0.0; ///< of the camera
};

/// A region of 40 x 40 pixels of a strobed panel, in frames of 1 ms.
class StrobedRegion
{
public:
    explicit StrobedRegion(const Roll& roll)
    {
        std::mt19937 random(31);
        std::normal_distribution<double> noise(0.0, 0.002);
        m_camera.frameIntervalMs = 1.0;
        m_camera.exposureMs = exposureMs;
        m_camera.lineTimeMs = roll.lineTimeMs;
        for (std::size_t k = 0; k < frames; ++k) {
            m_startMs.push_back(static_cast<double>(k));
            float mean = 0.0F;
            for (int cell = 0; cell < cellsAcross * cellsAcross; ++cell) {
                const int row = cell / cellsAcross;
                const int column = cell % cellsAcross;
                const double offset
                    = (row * roll.downMs + column * roll.acrossMs) / (cellsAcross - 1);
                const double seen = roll.lineTimeMs * 10.0 * row;
                m_cells.push_back(static_cast<float>(
                    0.004 + 0.5 * litShare(m_startMs.back() + seen - offset) + noise(random)));
                mean += m_cells.back() / static_cast<float>(cellsAcross * cellsAcross);
            }
            m_mean.push_back(mean);
        }
    }

    [[nodiscard]] double sweepMs() const
    {
        const auto pulses = trace::findPulses(m_mean, m_startMs, 1.0, exposureMs);
        EXPECT_TRUE(pulses && pulses->isResolved);
        return pulses ? pulseSweepMs({cellsAcross, cellsAcross, m_cells, {0, 0, 40, 40}},
                   {m_mean, m_startMs, m_camera, {}}, *pulses)
                      : -1.0;
    }

private:
    static double litShare(double start)
    {
        double lit = 0.0;
        const double turn = std::floor(start / periodMs);
        for (const double pulse : {turn - 1.0, turn, turn + 1.0}) {
            const double from = pulse * periodMs;
            lit += std::max(
                0.0, std::min(start + exposureMs, from + litMs) - std::max(start, from));
        }
        return lit / exposureMs;
    }

    rig::CameraTiming m_camera;
    std::vector<double> m_startMs;
    std::vector<float> m_cells;
    std::vector<float> m_mean;
};

TEST(PulseSweep, IsNoneWhereTheRegionFlashesAtOnce)
{
    EXPECT_LT(StrobedRegion(Roll {}).sweepMs(), 0.1);
}

TEST(PulseSweep, IsToldDownAndAcross)
{
    EXPECT_NEAR(StrobedRegion({.downMs = 0.9}).sweepMs(), 0.9, 0.15);
    EXPECT_NEAR(StrobedRegion({.downMs = -0.7}).sweepMs(), 0.7, 0.15);
    EXPECT_NEAR(StrobedRegion({.acrossMs = 0.9}).sweepMs(), 0.9, 0.15);
}

TEST(PulseSweep, CamerasOwnRowsAreNoRoll)
{
    EXPECT_LT(StrobedRegion({.lineTimeMs = 0.02}).sweepMs(), 0.1);
    EXPECT_NEAR(StrobedRegion({.downMs = 1.0, .lineTimeMs = 0.02}).sweepMs(), 1.0, 0.15);
}

} // namespace

} // namespace twinlamp::measure
