// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/split_shape.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace twinlamp::onset {

namespace {

using ::testing::DoubleNear;
using ::testing::Pointwise;

const StepShape fourRows {2.0, 0.4, std::make_shared<const SweepWeights>(SweepWeights(4, 0.25))};

// Rows at 1/8, 3/8, 5/8, 7/8; p0 solved with SciPy's brentq.
TEST(SplitShapes, ShareBothStepsByTheRows)
{
    const SplitShapes shapes = splitShapes(fourRows, {0.8, 0.5});
    EXPECT_THAT(
        *shapes.first.weights, Pointwise(DoubleNear(1e-6), SweepWeights {0.1, 0.2, 0.3, 0.4}));
    EXPECT_THAT(
        *shapes.second.weights, Pointwise(DoubleNear(1e-6), SweepWeights {0.4, 0.3, 0.2, 0.1}));
}

TEST(SplitShapes, LeaveRowsDarkThatTheFirstPictureMissed)
{
    const SplitShapes shapes = splitShapes(fourRows, {0.8, 0.15});
    EXPECT_THAT(*shapes.first.weights,
        Pointwise(DoubleNear(1e-6), SweepWeights {0.0, 0.0, 1.0 / 3.0, 2.0 / 3.0}));
    EXPECT_THAT(*shapes.second.weights,
        Pointwise(DoubleNear(1e-5), SweepWeights {0.294118, 0.294118, 0.235294, 0.176471}));
}

TEST(SplitShapes, AgainstTheSweepAreTheMirrorImage)
{
    const SplitShapes shapes = splitShapes(fourRows, {-0.8, 0.5});
    EXPECT_THAT(
        *shapes.first.weights, Pointwise(DoubleNear(1e-6), SweepWeights {0.4, 0.3, 0.2, 0.1}));
    EXPECT_THAT(
        *shapes.second.weights, Pointwise(DoubleNear(1e-6), SweepWeights {0.1, 0.2, 0.3, 0.4}));
}

TEST(SplitShapes, AreTheShapeItselfWithoutASlope)
{
    const SplitShapes shapes = splitShapes(fourRows, {0.0, 0.3});
    EXPECT_EQ(shapes.first, fourRows);
    EXPECT_EQ(shapes.second, fourRows);
}

} // namespace

} // namespace twinlamp::onset
