// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/block_pulses.h"
#include "core/measure/lamp_search.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::measure {
namespace {

constexpr int columns = 48;
constexpr int rows = 32;
constexpr int blockPx = 8;
constexpr std::size_t frames = 900;
constexpr std::size_t latencyFrames = 20;
const RectPx panel {16, 2, 30, 28}; // in blocks: more of them than are looked at closely
const RectPx goggleLamp {30, 14, 3, 3};
const RectPx lamp {4, 12, 2, 2};

bool isIn(RectPx rect, int x, int y)
{
    return x >= rect.x && x < rect.right() && y >= rect.y && y < rect.bottom();
}

bool isLit(std::size_t frame) { return (frame / 140) % 2 == 1; }

/// Share of a frame's exposure, nine tenths of the frame, in which the panel is lit.
float litShare(std::size_t frame, double periodFrames, double dutyFrames)
{
    constexpr double exposure = 0.9;
    const auto from = static_cast<double>(frame);
    const double here = std::floor(from / periodFrames);
    double lit = 0.0;
    for (const double turn : {here - 1.0, here, here + 1.0}) {
        const double start = turn * periodFrames;
        lit += std::max(0.0, std::min(from + exposure, start + dutyFrames) - std::max(from, start));
    }
    return static_cast<float>(std::min(1.0, lit / exposure)); // longer than a period: always lit
}

/// A lamp whose step is `lampStep`, and a panel that is lit for `dutyFrames` of each period.
BlockMap filmed(float lampStep, double periodFrames, double dutyFrames)
{
    std::mt19937 random(5);
    std::normal_distribution<float> noise(0.0F, 4e-4F);
    BlockMap map {columns, rows, columns * blockPx, rows * blockPx, frames, {}};
    for (int y = 0; y < rows; ++y) {
        for (int x = 0; x < columns; ++x) {
            for (std::size_t k = 0; k < frames; ++k) {
                float value = 0.02F + noise(random);
                if (isIn(lamp, x, y)) {
                    value += isLit(k) ? lampStep : 0.0F;
                } else if (isIn(panel, x, y)) {
                    const bool shows = k >= latencyFrames && isLit(k - latencyFrames);
                    const float shown
                        = 0.1F + (shows ? isIn(goggleLamp, x, y) ? 0.5F : 0.04F : 0.0F);
                    value += shown * litShare(k, periodFrames, dutyFrames);
                }
                map.light.push_back(value);
            }
        }
    }
    return map;
}

RectPx inPixels(RectPx blocks)
{
    return {
        blocks.x * blockPx, blocks.y * blockPx, blocks.width * blockPx, blocks.height * blockPx};
}

TEST(AveragePulses, KeepsAMapWithoutPulsesToTheBit)
{
    const BlockMap before = filmed(0.4F, 7.3, 8.0);
    BlockMap map = before;
    EXPECT_FALSE(averagePulses(map));
    EXPECT_EQ(map.light, before.light);
}

TEST(AveragePulses, LeavesTheMeanOverAPeriodAndTheLampAsItIs)
{
    const double period = 7.3;
    const BlockMap before = filmed(0.4F, period, 2.2);
    BlockMap map = before;
    averagePulses(map);
    const auto lampBlock = static_cast<std::size_t>(lamp.y * columns + lamp.x);
    for (std::size_t k = 0; k < frames; ++k) {
        EXPECT_EQ(map.block(lampBlock)[k], before.block(lampBlock)[k]) << k;
    }
    const auto goggleBlock = static_cast<std::size_t>(goggleLamp.y * columns + goggleLamp.x);
    // The exposure sees nine tenths of the pulses; which ones, differs from period to period.
    EXPECT_NEAR(map.block(goggleBlock)[230], 0.02 + 0.6 * 2.2 / period, 0.03);
    EXPECT_NEAR(map.block(goggleBlock)[100], 0.02 + 0.1 * 2.2 / period, 0.006);
}

// The grid of the frames beats with pulses that last two frames or little more.
TEST(AveragePulses, LampsOnAStrobedPanelAreFound)
{
    for (const double period : {7.3, 2.225, 2.6}) {
        BlockMap map = filmed(0.4F, period, 0.3 * period);
        EXPECT_TRUE(averagePulses(map)) << period;
        const auto found = searchLamps(map);
        ASSERT_TRUE(found) << period;
        EXPECT_EQ(found->reference, inPixels(lamp)) << period;
        EXPECT_EQ(found->goggle, inPixels(goggleLamp)) << period;
    }
}

// Presses of a few frames, one after the other, have a rhythm on the whole but none that lasts.
TEST(AveragePulses, QuickPressesByHandAreNoStrobe)
{
    for (const unsigned seed : {21U, 22U, 23U, 24U}) {
        std::mt19937 random(seed);
        std::uniform_int_distribution<int> hold(6, 10);
        BlockMap before {columns, rows, columns * blockPx, rows * blockPx, frames, {}};
        std::vector<float> light;
        for (bool lit = false; light.size() < frames; lit = !lit) {
            light.insert(light.end(), static_cast<std::size_t>(hold(random)), lit ? 0.6F : 0.02F);
        }
        light.resize(frames);
        for (std::size_t b = 0; b < before.blockCount(); ++b) {
            before.light.insert(before.light.end(), light.begin(), light.end());
        }
        BlockMap map = before;
        EXPECT_FALSE(averagePulses(map)) << seed;
        EXPECT_EQ(map.light, before.light) << seed;
    }
}

// A red lamp's luma steps by little; the panel alone has more blocks than are looked at closely.
TEST(SearchLamps, FindsADarkLampBesideALargePanel)
{
    const auto found = searchLamps(filmed(0.03F, 7.3, 8.0));
    ASSERT_TRUE(found);
    EXPECT_EQ(found->reference, inPixels(lamp));
    EXPECT_EQ(found->goggle, inPixels(goggleLamp));
}

} // namespace
} // namespace twinlamp::measure
