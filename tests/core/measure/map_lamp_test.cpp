// SPDX-License-Identifier: GPL-3.0-or-later
// What a light map tells of a region that was moved, on maps made by hand.
#include "core/measure/map_lamp.h"
#include "core/measure/map_panel.h"
#include "core/trace/light_meter.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <gtest/gtest.h>
#include <random>

namespace twinlamp::measure {

namespace {

using trace::LightMap;

constexpr int side = 8;
constexpr std::int64_t frames = 400;

/// Light of a pixel in a frame.
using LightOf = std::function<double(std::int64_t frame, int x, int y)>;

bool isLit(std::int64_t frame) { return frame / 40 % 2 == 1; }

/// A square lamp on a dark wall.
LightOf squareLamp(RectPx lamp)
{
    return [lamp](std::int64_t frame, int x, int y) {
        const bool inside = !intersection(lamp, {x, y, 1, 1}).isEmpty();
        return 0.04 + (inside && isLit(frame) ? 0.5 : 0.0);
    };
}

class MadeMap
{
public:
    explicit MadeMap(LightOf lightOf)
        : m_lightOf(std::move(lightOf))
    {
        m_map.widthPx = 256;
        m_map.heightPx = 160;
        m_map.blockPx = side;
        m_map.frames = frames;
        m_map.marks.assign(m_map.blockCount(), 0);
        m_map.isRead.assign(frames, 1);
        std::mt19937 random(5); // NOLINT: the same noise each time
        std::normal_distribution<double> noise(0.0, 0.0008);
        for (std::int64_t k = 0; k < frames; ++k) {
            for (int row = 0; row < m_map.rows(); ++row) {
                for (int column = 0; column < m_map.columns(); ++column) {
                    const double light = mean(k, m_map.block(column, row)) + noise(random);
                    m_map.levels.push_back(static_cast<std::uint16_t>(
                        std::lround(65535.0 * std::sqrt(std::max(0.0, light)))));
                }
            }
        }
    }

    void mark(RectPx rect, LightMap::Mark mark)
    {
        for (const std::size_t block : MapBlocks(m_map).under(rect)) {
            m_map.marks[block] = static_cast<std::uint8_t>(m_map.marks[block] | mark);
        }
    }

    [[nodiscard]] double mean(std::int64_t frame, RectPx rect) const
    {
        double sum = 0.0;
        for (int y = rect.y; y < rect.bottom(); ++y) {
            for (int x = rect.x; x < rect.right(); ++x) {
                sum += m_lightOf(frame, x, y);
            }
        }
        return sum / static_cast<double>(rect.areaPx());
    }

    [[nodiscard]] LampLightTold read(LampPlace place) const
    {
        LampLightTold light {place, {}, std::vector<float>(frames, 0.0F), {}};
        for (std::int64_t k = 0; k < frames; ++k) {
            light.light.push_back(static_cast<float>(mean(k, place.stored)));
        }
        light.cells = light.light;
        return light;
    }

    /// A region of one cell, known at `from`, looked at again at `to`.
    [[nodiscard]] std::optional<LampLightTold> moved(RectPx from, RectPx to) const
    {
        const LampLightTold known = read({from});
        MapBlocks blocks(m_map);
        return lampFromMap(blocks, {to}, {known.place, known.light, known.high, known.cells});
    }

    [[nodiscard]] MapBlocks blocks() const { return MapBlocks(m_map); }

    void expectTold(RectPx from, RectPx to) const
    {
        const auto told = moved(from, to);
        ASSERT_TRUE(told.has_value());
        for (std::int64_t k = 0; k < frames; ++k) {
            // Noise of the blocks, and a hundredth of the change that may be hidden.
            ASSERT_NEAR(told->light[static_cast<std::size_t>(k)], mean(k, to), 0.002) << k;
        }
    }

private:
    LightOf m_lightOf;
    LightMap m_map;
};

constexpr RectPx lamp {67, 61, 22, 22};
constexpr RectPx aroundLamp {57, 51, 42, 42};

TEST(LightMapOfALamp, ServesARegionThatMovesOverStillGround)
{
    const MadeMap map(squareLamp(lamp));
    map.expectTold(aroundLamp, {61, 53, 42, 42});
    map.expectTold(aroundLamp, {43, 45, 60, 52});
    map.expectTold(aroundLamp, {60, 53, 39, 40});
}

TEST(LightMapOfALamp, ServesARegionThatHadHalfOfTheLamp)
{
    const MadeMap map(squareLamp({64, 64, 24, 24}));
    map.expectTold({44, 54, 32, 44}, {44, 54, 54, 44});
}

TEST(LightMapOfALamp, ServesALampThatWasElsewhereWhereBlocksTellIt)
{
    const MadeMap map(squareLamp(lamp));
    map.expectTold({170, 20, 30, 30}, aroundLamp);
    const MadeMap small(squareLamp({65, 65, 6, 6}));
    EXPECT_FALSE(small.moved({170, 20, 30, 30}, aroundLamp)) << "all of it is in one block";
}

TEST(LightMapOfALamp, IsNotEnoughWhereTheBorderCutsTheLamp)
{
    const MadeMap map(squareLamp(lamp));
    EXPECT_FALSE(map.moved(aroundLamp, {69, 51, 42, 42}));
    EXPECT_FALSE(map.moved({170, 20, 30, 30}, {69, 51, 42, 42}));
    // How much was missing is not told; whole blocks tell all of it.
    map.expectTold({69, 51, 42, 42}, aroundLamp);
}

TEST(LightMapOfALamp, IsNotEnoughForColourThatChanges)
{
    MadeMap map(squareLamp({64, 64, 24, 24}));
    map.mark({64, 64, 24, 24}, LightMap::Coloured);
    EXPECT_FALSE(map.moved({44, 54, 32, 44}, {44, 54, 54, 44}));
    EXPECT_FALSE(map.moved({170, 20, 30, 30}, aroundLamp));
    // A region that keeps the lamp has its light as it was read.
    map.expectTold(aroundLamp, {53, 49, 46, 46});
}

TEST(LightMapOfALamp, IsNotEnoughWhereLightWasClipped)
{
    MadeMap map(squareLamp({64, 64, 24, 24}));
    map.mark({72, 72, 8, 8}, LightMap::Clipped);
    EXPECT_FALSE(map.moved({44, 54, 32, 44}, {44, 54, 54, 44}));
    EXPECT_FALSE(map.moved({170, 20, 30, 30}, aroundLamp));
    map.expectTold(aroundLamp, {53, 49, 46, 46});
}

TEST(LightMapOfALamp, IsNotEnoughWhereTheNewGroundChangesUnevenly)
{
    const auto lit = squareLamp(lamp);
    const MadeMap map([lit](std::int64_t k, int x, int y) {
        // Somebody walks by on the right.
        const bool walks = x > 100 + k / 8 % 30 && x < 108 + k / 8 % 30;
        return lit(k, x, y) + (walks ? 0.2 : 0.0);
    });
    EXPECT_FALSE(map.moved(aroundLamp, {57, 51, 62, 42}));
    map.expectTold(aroundLamp, {45, 51, 54, 42});
}

TEST(LightMapOfALamp, ServesARegionWhoseGroundChangesEvenly)
{
    const auto lit = squareLamp(lamp);
    const MadeMap map([lit](std::int64_t k, int x, int y) {
        return lit(k, x, y) + (isLit(k - 3) ? 0.02 + 1e-5 * (x + y) : 0.0);
    });
    map.expectTold(aroundLamp, {53, 49, 46, 46});
}

TEST(LightMapOfALamp, IsNotEnoughWhereNothingChanges)
{
    const MadeMap map(squareLamp(lamp));
    EXPECT_FALSE(map.moved({170, 20, 30, 30}, {180, 30, 30, 30}));
}

TEST(LightMapOfALamp, DoesNotTellRowsFinerThanBlocks)
{
    const MadeMap map(squareLamp(lamp));
    const LampLightTold known = map.read({{170, 20, 30, 30}, 1, 1});
    MapBlocks blocks = map.blocks();
    const LampLightRead read {known.place, known.light, known.high, known.cells};
    EXPECT_FALSE(lampFromMap(blocks, {aroundLamp, 1, 12}, read));
    EXPECT_TRUE(lampFromMap(blocks, {aroundLamp, 1, 5}, read));
}

/// A panel that lights up from the top within eight frames, its border dark.
LightOf sweptPanel(RectPx panel, double beside)
{
    return [panel, beside](std::int64_t frame, int x, int y) {
        if (intersection(panel, {x, y, 1, 1}).isEmpty()) {
            return 0.02 + (isLit(frame) ? beside : 0.0);
        }
        return 0.05 + (isLit(frame - (y - panel.y) / 16) ? 0.03 : 0.0);
    };
}

TEST(LightMapOfAPanel, TellsWhenEachRowChanges)
{
    constexpr RectPx panel {43, 13, 170, 131};
    const MadeMap map(sweptPanel(panel, 0.0));
    MapBlocks blocks = map.blocks();
    constexpr int rows = 12;
    const auto cells = panelFromMap(blocks, {panel, {}, rows, rows});
    ASSERT_TRUE(cells.has_value());
    ASSERT_EQ(cells->size(), static_cast<std::size_t>(frames) * rows * rows);
    for (int row = 0; row < rows; ++row) {
        // Light that is still to come in the frames around a switching: its area over the step is
        // when the row changes on average.
        double missing = 0.0;
        const auto at = [&](std::int64_t k) {
            return static_cast<double>(
                (*cells)[static_cast<std::size_t>((k * rows + row) * rows + 5)]);
        };
        double dark = 0.0;
        double lit = 0.0;
        for (int k = 0; k < 20; ++k) {
            dark += at(20 + k) / 20.0;
            lit += at(58 + k) / 20.0;
        }
        for (std::int64_t k = 40; k < 58; ++k) {
            missing += lit - at(k);
        }
        const RectPx cell = trace::cellOf({panel, 1, rows}, 0, row);
        double frameOfChange = 0.0;
        for (int y = cell.y; y < cell.bottom(); ++y) {
            frameOfChange += static_cast<double>((y - panel.y) / 16) / cell.height; // NOLINT
        }
        // Between a cell's middle and that of its blocks lies half a block at most, 0.25 frames;
        // the rest is noise.
        EXPECT_NEAR(missing / (lit - dark), frameOfChange, 0.4) << row;
    }
}

TEST(LightMapOfAPanel, IsNotEnoughForSmallCellsOrAForeignNeighbour)
{
    constexpr RectPx panel {43, 13, 170, 131};
    const MadeMap map(sweptPanel(panel, 0.0));
    MapBlocks blocks = map.blocks();
    EXPECT_FALSE(panelFromMap(blocks, {{43, 13, 170, 90}, {}, 12, 12})) << "cells of 7.5 rows";
    const MadeMap lamps(sweptPanel(panel, 0.1));
    MapBlocks others = lamps.blocks();
    EXPECT_FALSE(panelFromMap(others, {panel, {}, 12, 12})) << "a lamp beside it";
}

TEST(LightMapOfAPanel, TakesCornersAsItTakesTheirRectangle)
{
    constexpr RectPx panel {40, 16, 168, 128};
    const MadeMap map(sweptPanel(panel, 0.0));
    MapBlocks blocks = map.blocks();
    const auto upright = panelFromMap(blocks, {panel, {}, 12, 12});
    const auto between = panelFromMap(blocks, {panel, quadOf(panel), 12, 12});
    ASSERT_TRUE(upright && between);
    double apart = 0.0;
    for (std::size_t i = 0; i < upright->size(); ++i) {
        apart = std::max(apart, static_cast<double>(std::abs((*upright)[i] - (*between)[i])));
    }
    // A point for each of a cell's 14 columns and 10 or 11 rows: a row of points may count to
    // either of two blocks, which differ by the step of 0.03 and their noise.
    EXPECT_LT(apart, 0.12 * 0.03);
}

} // namespace

} // namespace twinlamp::measure
