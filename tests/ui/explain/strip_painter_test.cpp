// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/explain/hatching.h"
#include "ui/explain/strip_painter.h"

#include <gtest/gtest.h>

namespace twinlamp::ui {
namespace {

std::vector<report::StripFrame> frames(std::initializer_list<std::int64_t> numbers)
{
    std::vector<report::StripFrame> strip;
    for (const std::int64_t number : numbers) {
        strip.push_back({number, 0.0, false, false});
    }
    return strip;
}

TEST(StripColumns, StandSideBySideWithARoomierGapWhereFramesAreLeftOut)
{
    const auto columns = stripColumns(frames({5, 6, 90, 91}), 1000.0, 96.0);
    ASSERT_EQ(columns.size(), 4U);
    EXPECT_EQ(columns[0].left, 0.0);
    EXPECT_FALSE(columns[1].afterGap);
    EXPECT_TRUE(columns[2].afterGap);
    const double near = columns[1].left - columns[0].left - columns[0].side;
    const double far = columns[2].left - columns[1].left - columns[1].side;
    EXPECT_GT(near, 0.0);
    EXPECT_GT(far, 3.0 * near);
    EXPECT_EQ(columns[0].side, 96.0);
}

TEST(StripColumns, FitIntoTheWidth)
{
    const auto columns
        = stripColumns(frames({1, 2, 3, 4, 5, 6, 30, 31, 32, 33, 34, 35}), 640.0, 96.0);
    EXPECT_LE(columns.back().left + columns.back().side, 640.0);
    EXPECT_GE(columns.back().left + columns.back().side, 600.0);
}

TEST(StripColumns, NoFramesNoColumns) { EXPECT_TRUE(stripColumns({}, 640.0, 96.0).empty()); }

TEST(Hatching, StaysInsideItsRectangle)
{
    const QRectF rect(10.0, 20.0, 7.0, 90.0);
    const auto lines = hatching(rect, 6.0);
    EXPECT_EQ(lines.size(), 16U); // 97 px of sides at 6 px each
    for (const QLineF& line : lines) {
        EXPECT_TRUE(rect.contains(line.p1())) << line.x1() << " " << line.y1();
        EXPECT_TRUE(rect.contains(line.p2())) << line.x2() << " " << line.y2();
        EXPECT_NEAR(line.dx(), -line.dy(), 1e-9);
    }
}

} // namespace
} // namespace twinlamp::ui
