// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/direct_lamps.h"

#include <gtest/gtest.h>
#include <random>

namespace twinlamp::measure {

namespace {

constexpr int columns = 24;
constexpr int rows = 14;
constexpr int blockPx = 10;
constexpr std::size_t frames = 900;

const RectPx first {4, 6, 2, 2}; // in blocks
const RectPx second {16, 5, 2, 2};
const RectPx reflection {10, 11, 1, 1};

bool isIn(RectPx rect, int x, int y)
{
    return x >= rect.x && x < rect.right() && y >= rect.y && y < rect.bottom();
}

struct Look
{
    float secondStep = 0.35F;
    float reflectionStep = 0.04F;
};

BlockMap mapOf(const Look& look)
{
    BlockMap map;
    map.columns = columns;
    map.rows = rows;
    map.pictureWidthPx = columns * blockPx;
    map.pictureHeightPx = rows * blockPx;
    map.frames = frames;
    map.light.assign(map.blockCount() * frames, 0.03F);
    std::mt19937 random(5);
    std::normal_distribution<float> noise(0.0F, 0.001F);
    for (int y = 0; y < rows; ++y) {
        for (int x = 0; x < columns; ++x) {
            const auto b = static_cast<std::size_t>(y * columns + x);
            for (std::size_t k = 0; k < frames; ++k) {
                float& light = map.light[b * frames + k];
                const bool lit = (k / 150) % 2 == 1;
                light += noise(random);
                light += lit && isIn(first, x, y) ? 0.5F : 0.0F;
                light += lit && isIn(second, x, y) ? look.secondStep : 0.0F;
                light += lit && isIn(reflection, x, y) ? look.reflectionStep : 0.0F;
            }
        }
    }
    return map;
}

RectPx pixels(RectPx blocks)
{
    return {
        blocks.x * blockPx, blocks.y * blockPx, blocks.width * blockPx, blocks.height * blockPx};
}

} // namespace

TEST(SearchDirectLamps, FindsBothTheStrongerFirst)
{
    const auto found = searchDirectLamps(mapOf({}), 2);
    ASSERT_TRUE(found);
    ASSERT_EQ(found->lamps.size(), 2U);
    EXPECT_EQ(found->lamps[0].rect, pixels(first));
    EXPECT_EQ(found->lamps[1].rect, pixels(second));
    EXPECT_GT(found->lamps[1].confidence, 0.8);
    EXPECT_EQ(found->edges.size(), 5U);
}

TEST(SearchDirectLamps, FindsOneAlone)
{
    const auto found = searchDirectLamps(mapOf({0.0F, 0.0F}), 1);
    ASSERT_TRUE(found);
    EXPECT_EQ(found->lamps[0].rect, pixels(first));
    EXPECT_GT(found->lamps[0].confidence, 0.9);
}

TEST(SearchDirectLamps, ReflectionIsNoSecondLamp)
{
    EXPECT_FALSE(searchDirectLamps(mapOf({0.0F, 0.04F}), 2));
}

TEST(SearchDirectLamps, StrongReflectionLowersTheConfidence)
{
    const auto found = searchDirectLamps(mapOf({0.35F, 0.3F}), 2);
    ASSERT_TRUE(found);
    EXPECT_LT(found->lamps[1].confidence, 0.3);
}

TEST(SearchDirectLamps, DarkClipHoldsNone)
{
    BlockMap map = mapOf({});
    std::ranges::fill(map.light, 0.03F);
    EXPECT_FALSE(searchDirectLamps(map, 1));
}

} // namespace twinlamp::measure
