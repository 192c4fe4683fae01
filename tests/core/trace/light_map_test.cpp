// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/light_map.h"
#include "core/trace/light_meter.h"

#include <algorithm>
#include <array>
#include <gtest/gtest.h>
#include <vector>

namespace twinlamp::trace {

namespace {

/// A 4:2:0 picture that owns its samples.
template<typename Sample> class SamplePicture
{
public:
    SamplePicture(int width, int height, int bitDepth)
        : m_width(width)
        , m_unit(1 << (bitDepth - 8))
        , m_luma(static_cast<std::size_t>(width) * static_cast<std::size_t>(height),
              static_cast<Sample>(16 * m_unit))
        , m_cb(m_luma.size() / 4, static_cast<Sample>(128 * m_unit))
        , m_cr(m_cb)
    {
        m_view.bitDepth = bitDepth;
        m_view.colour = {1, 1, 1, false};
        const auto plane = [](std::vector<Sample>& samples, int across, int down) {
            return footage::PlaneView {reinterpret_cast<const std::uint8_t*>(samples.data()),
                static_cast<std::ptrdiff_t>(sizeof(Sample)) * across, across, down};
        };
        m_view.planes = {plane(m_luma, width, height), plane(m_cb, width / 2, height / 2),
            plane(m_cr, width / 2, height / 2)};
    }

    /// @param code  luma, of 8 bits
    void fill(RectPx rect, int code, int cb = 128)
    {
        for (int y = rect.y; y < rect.bottom(); ++y) {
            for (int x = rect.x; x < rect.right(); ++x) {
                m_luma[static_cast<std::size_t>(y * m_width + x)]
                    = static_cast<Sample>(code * m_unit);
                m_cb[static_cast<std::size_t>(y / 2 * (m_width / 2) + x / 2)]
                    = static_cast<Sample>(cb * m_unit);
            }
        }
    }

    [[nodiscard]] const footage::PictureView& view() const { return m_view; }

private:
    int m_width;
    int m_unit;
    std::vector<Sample> m_luma;
    std::vector<Sample> m_cb;
    std::vector<Sample> m_cr;
    footage::PictureView m_view;
};

float read(const footage::PictureView& picture, RectPx rect)
{
    const LightMeter meter(picture, {{rect}});
    std::array<float, 1> light {};
    EXPECT_TRUE(meter.read(picture, light, {}));
    return light[0];
}

template<typename Sample> void expectBlocksAsRead(int bitDepth)
{
    SamplePicture<Sample> picture(100, 60, bitDepth); // the last column and row of blocks are cut
    for (int y = 0; y < 60; y += 4) {
        for (int x = 0; x < 100; x += 4) {
            picture.fill({x, y, 4, 4}, 20 + (7 * x + 11 * y) % 200);
        }
    }
    LightMapper mapper(picture.view(), 1);
    mapper.add({0}, picture.view());
    const LightMap& map = mapper.map();
    ASSERT_EQ(map.blockPx, 8);
    ASSERT_EQ(map.columns(), 13);
    ASSERT_EQ(map.rows(), 8);
    for (int row = 0; row < map.rows(); ++row) {
        for (int column = 0; column < map.columns(); ++column) {
            const auto block = static_cast<std::size_t>(row * map.columns() + column);
            // Small blocks are sampled whole: what is left is the rounding to 16 bits.
            EXPECT_NEAR(map.at(0, block), read(picture.view(), map.block(column, row)), 3e-5);
        }
    }
    EXPECT_TRUE(map.isComplete());
}

TEST(LightMap, HoldsTheLightThatTheMeterReads)
{
    expectBlocksAsRead<std::uint8_t>(8);
    expectBlocksAsRead<std::uint16_t>(10);
}

TEST(LightMap, HasAboutTwoThousandBlocks)
{
    EXPECT_EQ(mapBlockPx(1920, 1080), 32);
    EXPECT_EQ(mapBlockPx(3840, 2160), 64);
    EXPECT_EQ(mapBlockPx(1280, 720), 22);
    EXPECT_EQ(mapBlockPx(256, 144), 8) << "smaller ones tell no more";
}

TEST(LightMap, ThinsTheSamplesOfLargeBlocks)
{
    SamplePicture<std::uint8_t> picture(1920, 1080, 8);
    picture.fill({0, 0, 960, 1080}, 200);
    LightMapper mapper(picture.view(), 1);
    mapper.add({0}, picture.view());
    const LightMap& map = mapper.map();
    EXPECT_NEAR(map.at(0, 0), read(picture.view(), {0, 0, 32, 32}), 3e-5);
    EXPECT_EQ(map.at(0, 59), 0.0F);
}

TEST(LightMap, MarksBlocksThatLumaDoesNotTell)
{
    SamplePicture<std::uint8_t> picture(64, 32, 8);
    picture.fill({8, 0, 8, 8}, 120, 160);
    picture.fill({16, 0, 2, 2}, 235);
    LightMapper mapper(picture.view(), 2);
    mapper.add({0}, picture.view());
    mapper.add({1}, picture.view());
    const LightMap& map = mapper.map();
    EXPECT_EQ(map.marks[0], 0);
    EXPECT_EQ(map.marks[1], LightMap::Coloured);
    EXPECT_EQ(map.marks[2], LightMap::Clipped);
    EXPECT_EQ(std::ranges::count(map.marks, 0), 30);
}

TEST(LightMap, IsCompleteWithEveryFrameOfItsKind)
{
    const SamplePicture<std::uint8_t> picture(64, 32, 8);
    const SamplePicture<std::uint8_t> other(32, 64, 8);
    LightMapper mapper(picture.view(), 2);
    mapper.add({1}, picture.view());
    EXPECT_FALSE(mapper.map().isComplete());
    mapper.add({0}, other.view());
    EXPECT_FALSE(mapper.map().isComplete()) << "a picture of another size";
    mapper.add({0}, picture.view());
    EXPECT_TRUE(mapper.map().isComplete());
}

TEST(LightMap, IsNotMadeOfPicturesWithoutLuma)
{
    footage::PictureView picture;
    picture.layout = footage::PlaneLayout::Gbr;
    EXPECT_FALSE(LightMapper::canMap(picture));
}

} // namespace

} // namespace twinlamp::trace
