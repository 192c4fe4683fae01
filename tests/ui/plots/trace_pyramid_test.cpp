// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/trace_pyramid.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>

namespace twinlamp::ui {

namespace {

std::vector<float> noise(std::size_t count, std::uint64_t seed)
{
    std::mt19937_64 random(seed);
    std::uniform_real_distribution<float> any(0.0F, 1.0F);
    std::vector<float> values(count);
    std::ranges::generate(values, [&] { return any(random); });
    return values;
}

/// The same by looking at every frame.
Extent plainExtent(const std::vector<float>& values, std::size_t first, std::size_t last)
{
    Extent extent;
    for (std::size_t k = first; k < std::min(last, values.size()); ++k) {
        extent.add(values[k]);
    }
    return extent;
}

} // namespace

TEST(TracePyramid, AgreesWithLookingAtEveryFrame)
{
    const auto values = noise(10'007, 3);
    TracePyramid pyramid;
    pyramid.replaceBy(values);
    std::mt19937_64 random(5);
    std::uniform_int_distribution<std::size_t> any(0, values.size());
    for (int round = 0; round < 500; ++round) {
        const std::size_t a = any(random);
        const std::size_t b = any(random);
        ASSERT_EQ(pyramid.extent(std::min(a, b), std::max(a, b)),
            plainExtent(values, std::min(a, b), std::max(a, b)))
            << "frames " << a << ", " << b;
    }
}

TEST(TracePyramid, GrowingBitByBitIsTheSameAsAtOnce)
{
    const auto values = noise(5'000, 9);
    TracePyramid grown;
    std::mt19937_64 random(1);
    std::uniform_int_distribution<std::size_t> piece(1, 300);
    for (std::size_t known = 0; known < values.size();) {
        known = std::min(values.size(), known + piece(random));
        grown.extendTo(std::span(values).first(known));
        ASSERT_EQ(grown.extent(0, known), plainExtent(values, 0, known)) << known << " frames";
        ASSERT_EQ(grown.extent(known / 3, known), plainExtent(values, known / 3, known)) << known;
    }
    TracePyramid whole;
    whole.replaceBy(values);
    EXPECT_EQ(grown.columns(0, values.size(), 700), whole.columns(0, values.size(), 700));
}

TEST(TracePyramid, OneBrightFrameIsSeenAtAnyZoom)
{
    std::vector<float> values(100'000, 0.1F);
    values[54'321] = 0.9F;
    TracePyramid pyramid;
    pyramid.replaceBy(values);
    for (const std::size_t columns : {1U, 7U, 640U, 1920U}) {
        const auto extents = pyramid.columns(0, values.size(), columns);
        ASSERT_EQ(extents.size(), columns);
        EXPECT_EQ(std::ranges::count_if(extents, [](const Extent& e) { return e.high > 0.5F; }), 1);
    }
}

TEST(TracePyramid, ColumnsCoverEveryFrameOnce)
{
    std::vector<float> values(1'000);
    for (std::size_t k = 0; k < values.size(); ++k) {
        values[k] = static_cast<float>(k);
    }
    TracePyramid pyramid;
    pyramid.replaceBy(values);
    const auto columns = pyramid.columns(10, 990, 77);
    float next = 10.0F;
    for (const Extent& column : columns) {
        EXPECT_FLOAT_EQ(column.low, next);
        next = column.high + 1.0F;
    }
    EXPECT_FLOAT_EQ(next, 990.0F);
}

TEST(TracePyramid, MissingFramesLeaveNoTrace)
{
    TracePyramid pyramid;
    pyramid.replaceBy(std::vector<float> {NAN, 0.4F, NAN, 0.2F});
    EXPECT_EQ(pyramid.extent(0, 4), (Extent {0.2F, 0.4F}));
    EXPECT_TRUE(pyramid.extent(2, 3).isEmpty());
    EXPECT_TRUE(pyramid.extent(4, 9).isEmpty());
}

TEST(TracePyramid, ShorterTraceStartsAnew)
{
    TracePyramid pyramid;
    pyramid.replaceBy(std::vector<float>(100, 0.9F));
    pyramid.extendTo(std::vector<float>(40, 0.1F));
    EXPECT_EQ(pyramid.size(), 40U);
    EXPECT_EQ(pyramid.extent(0, 100), (Extent {0.1F, 0.1F}));
}

} // namespace twinlamp::ui
