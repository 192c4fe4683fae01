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

} // namespace

} // namespace twinlamp::trace
