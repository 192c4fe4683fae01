// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/transfer.h"

#include <algorithm>
#include <gtest/gtest.h>

namespace twinlamp::trace {

namespace {

constexpr int bt709 = 1;
constexpr int unspecified = 2;
constexpr int gamma22 = 4;
constexpr int gamma28 = 5;
constexpr int srgb = 13;
constexpr int pq = 16;
constexpr int hlg = 18;

struct CurvePoint
{
    int transfer;
    double v;
    double light;
    double tolerance;
};

class LinearLightAt : public ::testing::TestWithParam<CurvePoint>
{
};

TEST_P(LinearLightAt, MatchesThePublishedCurve)
{
    const CurvePoint p = GetParam();
    EXPECT_NEAR(linearLight(p.transfer, p.v), p.light, p.tolerance);
    EXPECT_NEAR(codeValue(p.transfer, p.light), p.v, std::max(1e-6, p.tolerance));
}

// BT.709 with the continuous constants, sRGB and pure powers: computed with NumPy from ITU-T H.273
// Table 3; FFmpeg's colorspace filter agrees to 1.6e-4. sRGB with H.273's continuous constants
// differs from IEC 61966-2-1 by up to 1e-5.
INSTANTIATE_TEST_SUITE_P(Bt709, LinearLightAt,
    ::testing::Values(CurvePoint {bt709, 0.04, 0.008888888889, 1e-9},
        CurvePoint {bt709, 0.1, 0.022488866944, 1e-8},
        CurvePoint {bt709, 0.25, 0.078254688815, 1e-9},
        CurvePoint {bt709, 0.5, 0.259719437101, 1e-9},
        CurvePoint {bt709, 0.75, 0.563621871915, 1e-9},
        CurvePoint {bt709, 0.9, 0.809011173787, 1e-9},
        CurvePoint {unspecified, 0.5, 0.259719437101, 1e-9}, CurvePoint {bt709, 1.0, 1.0, 1e-12}));
INSTANTIATE_TEST_SUITE_P(Powers, LinearLightAt,
    ::testing::Values(CurvePoint {srgb, 0.5, 0.214041140482, 1e-5},
        CurvePoint {srgb, 0.75, 0.522521553968, 1e-5},
        CurvePoint {gamma22, 0.5, 0.2176376408, 1e-9},
        CurvePoint {gamma28, 0.5, 0.1435872944, 1e-9}));
// HLG as scene light; PQ as a share of 10000 cd/m2 (colour-science's own test values: 100 cd/m2 at
// 0.508078421517399).
INSTANTIATE_TEST_SUITE_P(HighDynamicRange, LinearLightAt,
    ::testing::Values(CurvePoint {hlg, 0.1, 0.003333333333, 1e-9},
        CurvePoint {hlg, 0.5, 0.083333333333, 1e-9}, CurvePoint {hlg, 0.75, 0.264962559786, 1e-9},
        CurvePoint {hlg, 0.9, 0.581837589494, 1e-9}, CurvePoint {pq, 0.508078421517399, 0.01, 1e-9},
        CurvePoint {pq, 0.5, 0.0092245709, 1e-9}, CurvePoint {pq, 0.652578597563067, 0.04, 1e-9}));

TEST(LinearLight, RisesWithoutAJumpAtTheFootOfBt709)
{
    // The printed constants 1.099 and 0.018 jump down here; the continuous ones do not.
    double before = linearLight(bt709, 0.0800);
    for (int i = 801; i < 825; ++i) {
        const double v = 1e-4 * i;
        const double light = linearLight(bt709, v);
        EXPECT_GT(light, before);
        EXPECT_LT(light - before, 5e-5);
        before = light;
    }
}

TEST(LinearLight, GoesBelowBlackSoThatNoiseAveragesToBlack)
{
    EXPECT_DOUBLE_EQ(linearLight(bt709, -0.01) + linearLight(bt709, 0.01), 0.0);
}

TEST(LumaWeightsOfMatrix, AddUpToOneAndFollowH273)
{
    for (const int matrix : {1, 2, 5, 6, 9}) {
        const LumaWeights w = matrixWeights(matrix);
        EXPECT_NEAR(w.kr + w.kg() + w.kb, 1.0, 1e-15);
    }
    EXPECT_DOUBLE_EQ(matrixWeights(5).kr, 0.299);
    EXPECT_DOUBLE_EQ(matrixWeights(1).kb, 0.0722);
    EXPECT_DOUBLE_EQ(matrixWeights(9).kr, 0.2627);
}

} // namespace

} // namespace twinlamp::trace
