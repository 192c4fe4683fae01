// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/light_meter.h"
#include "core/trace/transfer.h"

#include <array>
#include <cmath>
#include <gtest/gtest.h>
#include <vector>

namespace twinlamp::trace {

namespace {

/// A 4:2:0 picture that owns its samples.
class TestPicture
{
public:
    TestPicture(int width, int height)
        : m_width(width)
        , m_luma(static_cast<std::size_t>(width * height), 16)
        , m_cb(static_cast<std::size_t>(width * height / 4), 128)
        , m_cr(m_cb)
    {
        m_view.colour.matrix = 1;
        m_view.colour.transfer = 1;
        m_view.colour.primaries = 1;
        m_view.planes = {footage::PlaneView {m_luma.data(), width, width, height},
            footage::PlaneView {m_cb.data(), width / 2, width / 2, height / 2},
            footage::PlaneView {m_cr.data(), width / 2, width / 2, height / 2}};
    }

    void fill(RectPx rect, int y, int cb, int cr)
    {
        for (int row = rect.y; row < rect.bottom(); ++row) {
            for (int x = rect.x; x < rect.right(); ++x) {
                m_luma[static_cast<std::size_t>(row * m_width + x)] = static_cast<std::uint8_t>(y);
                const auto chroma = static_cast<std::size_t>(row / 2 * (m_width / 2) + x / 2);
                m_cb[chroma] = static_cast<std::uint8_t>(cb);
                m_cr[chroma] = static_cast<std::uint8_t>(cr);
            }
        }
    }

    [[nodiscard]] const footage::PictureView& view() const { return m_view; }

private:
    int m_width;
    std::vector<std::uint8_t> m_luma;
    std::vector<std::uint8_t> m_cb;
    std::vector<std::uint8_t> m_cr;
    footage::PictureView m_view;
};

TEST(LightMeter, AveragesLightAndNotCodeValues)
{
    TestPicture picture(64, 32);
    picture.fill({0, 0, 16, 32}, 235, 128, 128);
    const LightMeter meter(picture.view(), {{{0, 0, 32, 32}}});
    std::array<float, 1> light {};
    ASSERT_TRUE(meter.read(picture.view(), light, {}));
    // Half black, half white. The mean of the code values would give V = 0.5, which is light 0.26.
    EXPECT_NEAR(light[0], 0.5, 1e-6);
}

TEST(LightMeter, WeighsAColouredLampByLuminance)
{
    TestPicture picture(32, 32);
    // Full red in BT.709 limited range: Y' = 0.2126, Cb = -0.1146, Cr = 0.5 (H.273 equations),
    // codes 63, 102, 240.
    picture.fill({0, 0, 32, 32}, 63, 102, 240);
    const LightMeter meter(picture.view(), {{{0, 0, 32, 32}}});
    std::array<float, 1> light {};
    std::array<ClipShare, 1> clip {};
    ASSERT_TRUE(meter.read(picture.view(), light, clip));
    // Rounding to codes moves each channel by up to half a code: 0.4 %.
    EXPECT_NEAR(light[0], 0.2126, 0.003);
    EXPECT_EQ(clip[0].high, 1.0F) << "red is at the end of its range although luma is low";
}

TEST(LightMeter, ReadsCellsRowByRow)
{
    TestPicture picture(32, 32);
    picture.fill({16, 0, 16, 16}, 235, 128, 128);
    const LightMeter meter(picture.view(), {{{0, 0, 32, 32}, 2, 2, 0}});
    std::vector<float> light(meter.valueCount());
    ASSERT_TRUE(meter.read(picture.view(), light, {}));
    EXPECT_NEAR(light[0], 0.0, 1e-6);
    EXPECT_NEAR(light[1], 1.0, 1e-6);
    EXPECT_NEAR(light[2], 0.0, 1e-6);
    EXPECT_NEAR(light[3], 0.0, 1e-6);
}

TEST(LightMeter, SamplesOfACellAgreeWithAllItsPixels)
{
    TestPicture picture(256, 256);
    for (int y = 0; y < 256; y += 2) {
        for (int x = 0; x < 256; x += 2) {
            picture.fill({x, y, 2, 2}, 60 + (x * 7 + y * 13) % 90, 128, 128);
        }
    }
    const RectPx all {0, 0, 256, 256};
    const LightMeter meter(picture.view(), {{all, 1, 1, 0}, {all, 1, 1, 900}});
    std::vector<float> light(meter.valueCount());
    ASSERT_TRUE(meter.read(picture.view(), light, {}));
    // 900 samples of a texture whose light scatters by 0.08: standard error 0.003.
    EXPECT_NEAR(light[0], light[1], 0.012);
}

TEST(LightMeter, RefusesAPictureOfAnotherKind)
{
    const TestPicture picture(32, 32);
    const TestPicture other(64, 32);
    const LightMeter meter(picture.view(), {{{0, 0, 8, 8}}});
    std::array<float, 1> light {};
    EXPECT_FALSE(meter.read(other.view(), light, {}));
}

// Luma rises by one code a column; grey.
TestPicture slope()
{
    TestPicture picture(128, 64);
    for (int x = 0; x < 128; ++x) {
        picture.fill({x, 0, 1, 64}, 60 + x, 128, 128);
    }
    return picture;
}

TEST(LightMeter, DisplacedRegionReadsWhatLiesThere)
{
    const TestPicture picture = slope();
    const LightMeter meter(
        picture.view(), {{{40, 20, 20, 10}, 2, 1, 0}, {{40, 20, 20, 10}, 1, 1, 50}});
    const LightMeter there(picture.view(), {{{43, 18, 20, 10}, 2, 1, 0}, {{43, 18, 20, 10}}});
    std::array<float, 3> displaced {};
    std::array<float, 3> plain {};
    std::array<ClipShare, 2> clip {};
    ASSERT_TRUE(meter.read(picture.view(), {3.0, -2.0}, displaced, clip));
    ASSERT_TRUE(there.read(picture.view(), plain, {}));
    // Rounding of sums of floats.
    for (std::size_t i = 0; i < plain.size(); ++i) {
        EXPECT_NEAR(displaced[i], plain[i], 1e-6);
    }
    EXPECT_EQ(clip[0].high, 0.0F);
}

TEST(LightMeter, LightDoesNotStepWhereAShiftCrossesAWholePixel)
{
    const TestPicture picture = slope();
    const LightMeter meter(picture.view(), {{{40, 20, 20, 10}}});
    std::array<float, 1> light {};
    std::vector<double> seen;
    constexpr double step = 0.05;
    for (int i = -60; i <= 60; ++i) {
        ASSERT_TRUE(meter.read(picture.view(), {i * step, 0.3 * i * step}, light, {}));
        seen.push_back(light[0]);
    }
    // A slope read through a window that moves evenly: even steps, but for the curve of the
    // transfer function, which bends them by a twentieth over these 6 columns.
    const double mean = (seen.back() - seen.front()) / static_cast<double>(seen.size() - 1);
    for (std::size_t i = 1; i < seen.size(); ++i) {
        EXPECT_NEAR(seen[i] - seen[i - 1], mean, 0.06 * mean) << i;
    }
}

TEST(LightMeter, WhatHasLeftThePictureIsLeftOut)
{
    TestPicture picture(64, 32);
    picture.fill({0, 0, 64, 32}, 126, 128, 128);
    const LightMeter meter(picture.view(), {{{0, 0, 16, 16}, 2, 1, 0}});
    std::array<float, 2> light {};
    ASSERT_TRUE(meter.read(picture.view(), {-9.5, -3.0}, light, {}));
    EXPECT_TRUE(std::isnan(light[0]));
    EXPECT_NEAR(light[1], linearLight(1, 110.0 / 219.0), 1e-5);
}

TEST(CellOf, CoversTheRectangleOnce)
{
    const MeterRegion region {{13, 7, 50, 31}, 12, 12, 0};
    std::int64_t pixels = 0;
    for (int row = 0; row < region.rows; ++row) {
        for (int column = 0; column < region.columns; ++column) {
            const RectPx cell = cellOf(region, column, row);
            pixels += cell.areaPx();
            EXPECT_EQ(intersection(cell, region.stored), cell);
            if (column > 0) {
                EXPECT_EQ(cell.x, cellOf(region, column - 1, row).right());
            }
            if (row > 0) {
                EXPECT_EQ(cell.y, cellOf(region, column, row - 1).bottom());
            }
        }
    }
    EXPECT_EQ(pixels, region.stored.areaPx());
}

MeterRegion turnedGrid(const QuadPx& corners, int columns, int rows, int samples)
{
    return {boundingRect(corners), columns, rows, samples, corners};
}

// 256 x 192, luma x in every row.
TestPicture risingToTheRight()
{
    TestPicture picture(256, 192);
    for (int x = 16; x < 236; ++x) {
        picture.fill({x, 0, 1, 192}, x, 128, 128);
    }
    return picture;
}

double lightOfCode(double code) { return linearLight(1, (code - 16.0) / 219.0); }

TEST(LightMeterCorners, ReadsTheGridAlongThePanelsOwnAxes)
{
    TestPicture picture(256, 192);
    // A panel on its side: its top is the picture's right, so that its second row is on the left.
    const QuadPx side {{CornerPx {200, 40}, {200, 140}, {80, 140}, {80, 40}}};
    picture.fill({80, 40, 60, 100}, 235, 128, 128);
    const LightMeter meter(picture.view(), {turnedGrid(side, 1, 2, 100)});
    std::array<float, 2> light {};
    ASSERT_TRUE(meter.read(picture.view(), light, {}));
    EXPECT_EQ(light[0], 0.0F);
    EXPECT_NEAR(light[1], 1.0, 1e-6);
}

TEST(LightMeterCorners, CellsOfAGradientHaveTheLightOfTheirPlace)
{
    const TestPicture picture = risingToTheRight();
    const QuadPx corners {{CornerPx {60, 20}, {200, 48}, {186, 170}, {40, 130}}};
    const LightMeter meter(picture.view(), {turnedGrid(corners, 6, 5, 250)});
    std::vector<float> light(30);
    ASSERT_TRUE(meter.read(picture.view(), light, {}));
    const Homography map(corners);
    for (int row = 0; row < 5; ++row) {
        for (int column = 0; column < 6; ++column) {
            const PlanePoint middle = map.toPicture({(column + 0.5) / 6.0, (row + 0.5) / 5.0});
            // Pixel x covers x to x + 1. Within a cell of 24 px the light's curve lifts the mean by
            // up to 0.006; half a pixel of code is 0.004.
            EXPECT_NEAR(light[static_cast<std::size_t>(6 * row + column)],
                lightOfCode(middle.x - 0.5), 0.01)
                << column << "," << row;
        }
    }
}

TEST(LightMeterCorners, FollowAFractionOfAPixelWithoutSteps)
{
    const TestPicture picture = risingToTheRight();
    const QuadPx corners {{CornerPx {60, 20}, {200, 48}, {186, 170}, {40, 130}}};
    const LightMeter meter(picture.view(), {turnedGrid(corners, 6, 5, 250)});
    std::vector<float> still(30);
    std::vector<float> moved(30);
    ASSERT_TRUE(meter.read(picture.view(), still, {}));
    for (const double shift : {0.25, 0.5, 0.75, 1.0, 2.3}) {
        ASSERT_TRUE(meter.read(picture.view(), {shift, 0.0}, moved, {}));
        for (std::size_t cell = 0; cell < still.size(); ++cell) {
            // Light per pixel here: (g (V + b))' / 219, at most 2.2 / 219 = 0.010, at V near 0 next
            // to none. A tenth of a pixel is allowed.
            const double code = 16.0 + 219.0 * codeValue(1, static_cast<double>(still[cell]));
            EXPECT_NEAR(moved[cell], lightOfCode(code + shift), 0.001) << shift << " " << cell;
        }
    }
}

TEST(LightMeterCorners, OfARectangleReadWhatTheRectangleReads)
{
    const TestPicture picture = risingToTheRight();
    const RectPx rect {40, 24, 120, 96};
    // Few enough pixels that both ways read every one.
    const LightMeter meter(
        picture.view(), {{rect, 12, 12, 250}, turnedGrid(quadOf(rect), 12, 12, 250)});
    std::vector<float> light(288);
    ASSERT_TRUE(meter.read(picture.view(), light, {}));
    for (std::size_t cell = 0; cell < 144; ++cell) {
        EXPECT_NEAR(light[cell], light[144 + cell], 1e-6) << cell;
    }
}

TEST(LightMeterCorners, WhatHasLeftThePictureIsLeftOut)
{
    const TestPicture picture = risingToTheRight();
    const LightMeter meter(picture.view(), {turnedGrid(quadOf({0, 0, 256, 192}), 2, 2, 100)});
    std::array<float, 4> light {};
    ASSERT_TRUE(meter.read(picture.view(), {-129.0, 0.0}, light, {}));
    EXPECT_TRUE(std::isnan(light[0]));
    EXPECT_FALSE(std::isnan(light[1]));
}

TEST(LightMeterCorners, CellIsTheRectangleAroundIt)
{
    const MeterRegion upright = turnedGrid(quadOf({40, 24, 120, 96}), 12, 12, 1);
    EXPECT_EQ(cellOf(upright, 3, 5), (RectPx {70, 64, 10, 8}));
    const MeterRegion onItsSide
        = turnedGrid(QuadPx {{CornerPx {160, 24}, {160, 120}, {40, 120}, {40, 24}}}, 12, 12, 1);
    EXPECT_EQ(cellOf(onItsSide, 3, 0), (RectPx {150, 48, 10, 8}));
}

} // namespace

} // namespace twinlamp::trace
