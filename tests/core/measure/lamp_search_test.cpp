// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_search.h"

#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::measure {

namespace {

constexpr int columns = 24;
constexpr int rows = 14;
constexpr int blockPx = 10;
constexpr std::size_t frames = 1200;
constexpr int latencyFrames = 15;

const RectPx lamp {4, 6, 2, 2}; // in blocks
const RectPx goggleLamp {16, 6, 2, 2};
const RectPx panel {11, 3, 10, 8};

bool isIn(RectPx rect, int x, int y)
{
    return x >= rect.x && x < rect.right() && y >= rect.y && y < rect.bottom();
}

/// Whether the lamps are lit, per frame: presses by hand, holds and gaps of shortest to longest.
std::vector<bool> pressed(int shortest, int longest, unsigned seed)
{
    std::mt19937 random(seed);
    std::uniform_int_distribution<int> length(shortest, longest);
    std::vector<bool> lit(frames, false);
    bool on = false;
    for (std::size_t k = 100; k < frames;) {
        on = !on;
        for (int i = length(random); i > 0 && k < frames; --i) {
            lit[k++] = on;
        }
    }
    return lit;
}

struct Link
{
    int latency = latencyFrames;
    int rowsAFrame = 2; ///< that the panel's sweep passes
    int pictureFrames = 1; ///< the lamp is seen at every so manieth frame only
};

/// @param dimUntil  the panel's lower rows do not show the lamp before this frame
BlockMap filmed(
    const std::vector<bool>& lit, bool withGoggle, std::size_t dimUntil, const Link& link = {})
{
    std::mt19937 random(71);
    std::normal_distribution<float> noise(0.0F, 0.003F);
    BlockMap map {columns, rows, columns * blockPx, rows * blockPx, frames, {}};
    for (int y = 0; y < rows; ++y) {
        for (int x = 0; x < columns; ++x) {
            for (std::size_t k = 0; k < frames; ++k) {
                float value = 0.03F + noise(random);
                if (isIn(lamp, x, y)) {
                    value += lit[k] ? 0.6F : 0.0F;
                } else if (withGoggle && isIn(panel, x, y)) {
                    // Rows further down are swept later.
                    const auto delay
                        = static_cast<std::size_t>(link.latency + (y - panel.y) / link.rowsAFrame);
                    const std::size_t seen = k >= delay ? k - delay : 0;
                    const bool shows
                        = lit[seen - seen % static_cast<std::size_t>(link.pictureFrames)]
                        && (y < goggleLamp.bottom() || k >= dimUntil);
                    value += 0.08F + (shows ? isIn(goggleLamp, x, y) ? 0.4F : 0.05F : 0.0F);
                }
                map.light.push_back(value);
            }
        }
    }
    return map;
}

void expectFound(const std::optional<LampBlocks>& found)
{
    ASSERT_TRUE(found);
    const auto toPx = [](RectPx blocks) {
        return RectPx {blocks.x * blockPx, blocks.y * blockPx, blocks.width * blockPx,
            blocks.height * blockPx};
    };
    EXPECT_EQ(found->reference, toPx(lamp));
    EXPECT_EQ(found->goggle, toPx(goggleLamp));
    ASSERT_TRUE(found->panel);
    EXPECT_EQ(*found->panel, toPx(panel));
}

TEST(SearchLamps, TellsTheLampThatLeads)
{
    expectFound(searchLamps(filmed(pressed(100, 150, 72), true, 0)));
}

// Each lamp also repeats the other's next press; parts of the panel that show fewer presses must
// not turn the order round.
TEST(SearchLamps, TellsItInQuickPressesThatPartOfThePanelMisses)
{
    for (const unsigned seed : {73U, 74U, 75U, 76U}) {
        expectFound(searchLamps(filmed(pressed(43, 70, seed), true, 260)));
    }
}

// At 120 frames a second a link of 10 to 20 ms answers in the next frame or the one after.
TEST(SearchLamps, FindsALinkThatAnswersWithinTwoFrames)
{
    for (const unsigned seed : {81U, 82U, 83U, 84U}) {
        for (const int latency : {1, 2}) {
            expectFound(searchLamps(filmed(pressed(18, 31, seed), true, 0, {latency, 100, 1})));
        }
    }
}

// Presses of 26 to 44 ms on a link of 40 ms at 480 frames a second: the next press comes before the
// answer to this one.
TEST(SearchLamps, FindsPressesShorterThanTheLatency)
{
    for (const unsigned seed : {85U, 86U, 87U, 88U}) {
        const auto found = searchLamps(filmed(pressed(12, 21, seed), true, 0, {19, 2, 4}));
        ASSERT_TRUE(found);
        EXPECT_EQ(found->reference.x, lamp.x * blockPx) << seed;
        EXPECT_EQ(found->goggle.x, goggleLamp.x * blockPx) << seed;
    }
}

TEST(SearchLamps, FindsNothingWhereOneLampSwitchesAlone)
{
    EXPECT_FALSE(searchLamps(filmed(pressed(100, 150, 77), false, 0)));
}

} // namespace

} // namespace twinlamp::measure
