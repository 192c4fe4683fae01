// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/panel/motion.h"

#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::panel {

namespace {

constexpr int columns = 4;
constexpr int rows = 6;

struct Footage
{
    std::vector<float> light;
    std::vector<double> startMs;

    [[nodiscard]] CellTraces cells() const { return {columns, rows, light, {0, 0, 400, 300}}; }
};

/// Cells whose light takes a new value every intervalMs, the rows one after another within scanMs;
/// every `heldEvery`th picture is shown twice (0: none).
Footage moving(double intervalMs, double scanMs, int heldEvery)
{
    Footage footage;
    constexpr int frames = 2500;
    const auto valueOf = [](int picture, int cell) {
        std::mt19937 random(static_cast<unsigned>(picture * 131 + cell));
        return 0.3 + 0.1 * static_cast<double>(random() % 1000) / 1000.0;
    };
    std::mt19937 noise(41);
    std::normal_distribution<double> normal(0.0, 0.001);
    for (int k = 0; k < frames; ++k) {
        footage.startMs.push_back(k);
        for (int cell = 0; cell < columns * rows; ++cell) {
            const double at = k - scanMs * (cell / columns) / rows;
            int picture = static_cast<int>(std::floor(at / intervalMs));
            if (heldEvery > 0 && picture > 0 && picture % heldEvery == 0) {
                --picture;
            }
            footage.light.push_back(static_cast<float>(valueOf(picture, cell) + normal(noise)));
        }
    }
    return footage;
}

TEST(MotionRhythm, ReadsTheNewFrameIntervalWithinHalfAPercent)
{
    for (const double interval : {8.333, 11.111, 16.667}) {
        const Footage footage = moving(interval, 0.7 * interval, 0);
        const auto rhythm = motionRhythm(footage.cells(), footage.startMs);
        ASSERT_TRUE(rhythm) << interval;
        EXPECT_NEAR(rhythm->newFrameMs, interval, 0.005 * interval);
        EXPECT_EQ(rhythm->heldShare, 0.0);
    }
}

TEST(MotionRhythm, SaysNothingOfAStillPicture)
{
    std::mt19937 random(42);
    std::normal_distribution<float> normal(0.3F, 0.01F);
    Footage footage;
    for (int k = 0; k < 2500; ++k) {
        footage.startMs.push_back(k);
        for (int cell = 0; cell < columns * rows; ++cell) {
            footage.light.push_back(normal(random));
        }
    }
    EXPECT_FALSE(motionRhythm(footage.cells(), footage.startMs));
}

} // namespace

} // namespace twinlamp::panel
