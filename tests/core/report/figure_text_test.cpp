// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/figure_text.h"

#include <cmath>
#include <gtest/gtest.h>
#include <limits>
#include <random>

namespace twinlamp::report {
namespace {

TEST(FigureText, DigitsAreThoseThatTheHalfWidthCarries)
{
    EXPECT_EQ(figureText(25.3127, 0.083), (FigureText {"25.31", "0.08"}));
    EXPECT_EQ(figureText(25.3127, 0.41), (FigureText {"25.3", "0.4"}));
    EXPECT_EQ(figureText(25.3127, 0.12), (FigureText {"25.31", "0.12"}));
    EXPECT_EQ(figureText(25.3127, 0.24), (FigureText {"25.31", "0.24"}));
    EXPECT_EQ(figureText(25.3127, 0.296), (FigureText {"25.3", "0.3"}));
    EXPECT_EQ(figureText(25.3127, 3.2), (FigureText {"25", "3"}));
    EXPECT_EQ(figureText(125.3, 14.0), (FigureText {"125", "14"}));
    EXPECT_EQ(figureText(25.3127, 0.00123), (FigureText {"25.3127", "0.0012"}));
}

TEST(FigureText, WithoutHalfWidthHasTwoDecimals)
{
    EXPECT_EQ(figureText(25.3177, std::nullopt), (FigureText {"25.32", ""}));
    EXPECT_EQ(decimalsFor(0.0), 2);
    EXPECT_EQ(decimalsFor(std::numeric_limits<double>::quiet_NaN()), 2);
}

TEST(FixedText, ZeroHasNoSign)
{
    EXPECT_EQ(fixedText(-0.001, 2), "0.00");
    EXPECT_EQ(fixedText(-0.006, 2), "-0.01");
    EXPECT_EQ(fixedText(0.0, 0), "0");
}

TEST(ExactMsText, IsShortAndExact)
{
    EXPECT_EQ(exactMsText(25'312'700), "25.3127");
    EXPECT_EQ(exactMsText(12'000'000), "12");
    EXPECT_EQ(exactMsText(-500'000), "-0.5");
    EXPECT_EQ(exactMsText(1), "0.000001");
    EXPECT_EQ(exactMsText(0), "0");
    EXPECT_EQ(exactMsText(-2'000'001), "-2.000001");
}

TEST(RoundedMs, PrintsShortAndKeepsTheNanosecond)
{
    std::mt19937_64 random(8);
    std::uniform_int_distribution<std::int64_t> anyNs(-100'000'000'000, 100'000'000'000);
    for (int i = 0; i < 2000; ++i) {
        const std::int64_t ns = anyNs(random);
        const double ms = roundedMs(static_cast<double>(ns) * 1e-6);
        ASSERT_EQ(std::llround(ms * 1e6), ns);
        ASSERT_EQ(std::stod(exactMsText(ns)), ms) << "the double nearest to the decimal text";
    }
}

} // namespace
} // namespace twinlamp::report
