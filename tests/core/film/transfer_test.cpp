// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/transfer.h"

#include <array>
#include <gtest/gtest.h>

namespace twinlamp::film {

namespace {

struct Point
{
    double light;
    double level;
};

constexpr double tableDigits = 1e-9; // twelve decimals are printed, HLG's constants carry eight

template<std::size_t n> void expectCurve(Transfer transfer, const std::array<Point, n>& points)
{
    for (const Point& point : points) {
        EXPECT_NEAR(codeLevel(transfer, point.light, 10'000.0), point.level, tableDigits)
            << "light " << point.light;
    }
}

} // namespace

// Values of ITU-R BT.709-6 item 1.2 with the constants that make the curve continuous, computed
// with NumPy; 0.015 and 0.18 agree with the tests of an independent colour library to the printed
// form's 2.5e-4.
TEST(CodeLevel, Bt709MatchesTheTable)
{
    expectCurve(Transfer::Bt709,
        std::array<Point, 12> {{{0.0, 0.0}, {0.001, 0.0045}, {0.01, 0.045}, {0.015, 0.0675},
            {0.018, 0.081}, {0.02, 0.089753952692}, {0.05, 0.186232996316}, {0.1, 0.290748406085},
            {0.18, 0.408848108891}, {0.5, 0.705435553056}, {0.9, 0.949096151586}, {1.0, 1.0}}});
}

// IEC 61966-2-1, printed constants (NumPy). H.273 code 13 makes them continuous, which lowers the
// power branch by alpha's 1.07e-5 times (1 - light^(1/2.4)).
TEST(CodeLevel, SrgbMatchesTheTable)
{
    constexpr std::array<Point, 6> points {
        {{0.001, 0.012920000000}, {0.01, 0.099852822734}, {0.05, 0.247800527993},
            {0.18, 0.461356129500}, {0.5, 0.735356983052}, {0.9, 0.954687171886}}};
    for (const Point& point : points) {
        EXPECT_NEAR(codeLevel(Transfer::Srgb, point.light, 0.0), point.level, 1.1e-5)
            << point.light;
    }
}

// ARIB STD-B67 as in H.264 Annex E, computed with NumPy; zscale's display light is these to the
// power of 1.2.
TEST(CodeLevel, HlgMatchesTheTable)
{
    expectCurve(Transfer::Hlg,
        std::array<Point, 9> {
            {{0.001, 0.054772255751}, {0.01, 0.173205080757}, {0.05, 0.387298334621},
                {1.0 / 12.0, 0.5}, {0.1, 0.544089494432}, {0.18, 0.672358132598},
                {0.5, 0.871643471345}, {0.9, 0.980674604345}, {1.0, 0.999999995537}}});
}

// ST 2084; 100 and 400 cd/m2 agree with an independent colour library's tests.
TEST(CodeLevel, PqMatchesTheTable)
{
    expectCurve(Transfer::Pq,
        std::array<Point, 6> {{{0.0, 0.000000730956}, {1e-4, 0.149945732100},
            {1e-2, 0.508078421517}, {0.04, 0.652578597563}, {0.1, 0.751827096247}, {1.0, 1.0}}});
}

// Assumed display gamma of H.273 codes 4 and 5: light = V^2.2 and V^2.8.
TEST(CodeLevel, GammaCurvesMatchTheTable)
{
    expectCurve(Transfer::Gamma22, std::array<Point, 2> {{{0.2176376407828, 0.5}, {1.0, 1.0}}});
    expectCurve(Transfer::Gamma28, std::array<Point, 2> {{{0.1435872944, 0.5}, {1.0, 1.0}}});
}

// H.264 Annex E: Y = round(2^(n-8) (219 V + 16)) limited, round((2^n - 1) V) full.
TEST(LevelTable, GreyCodesFollowTheRange)
{
    struct Row
    {
        int depth;
        bool full;
        int black;
        int white;
    };

    for (const Row& row : {Row {8, false, 16, 235}, Row {8, true, 0, 255}, Row {10, false, 64, 940},
             Row {10, true, 0, 1023}}) {
        Camera camera;
        camera.bitDepth = row.depth;
        camera.fullRange = row.full;
        const LevelTable table(camera, 1.0);
        EXPECT_EQ(table.greyCodes().front(), row.black);
        EXPECT_EQ(table.greyCodes().back(), row.white);
    }
}

TEST(LevelTable, GreyCodeOfTenPercentLightIsTheTables)
{
    const LevelTable table(Camera {}, 1.0);
    // 219 x 0.290748 + 16 = 79.67
    EXPECT_EQ(table.greyCodes()[6554], 80);
}

// Code points of ITU-T H.273.
TEST(ColourCodes, AreThoseOfTheStandard)
{
    const ColourCodes hlg = colourCodes(Transfer::Hlg, Matrix::Bt2020);
    EXPECT_EQ(hlg.primaries, 9);
    EXPECT_EQ(hlg.transfer, 18);
    EXPECT_EQ(hlg.matrix, 9);
    EXPECT_EQ(colourCodes(Transfer::Pq, Matrix::Bt2020).transfer, 16);
    EXPECT_EQ(colourCodes(Transfer::Srgb, Matrix::Bt709).transfer, 13);
    EXPECT_EQ(colourCodes(Transfer::Bt709, Matrix::Bt601).matrix, 6);
}

} // namespace twinlamp::film
