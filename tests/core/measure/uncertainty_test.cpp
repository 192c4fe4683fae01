// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/uncertainty.h"

#include <cmath>
#include <gtest/gtest.h>
#include <vector>

namespace twinlamp::measure {

namespace {

constexpr double newFrameMs = 16.0;
const onset::StepShape shape {1.0, 0.4};

/// An answer that makes `share` of its step with the first picture, seen with little noise.
onset::AnswerFit answer(double share)
{
    onset::AnswerFit fit;
    fit.delayMs = share < 1.0 ? newFrameMs : 0.0;
    fit.first = 0.5 * share;
    fit.second = 0.5 - fit.first;
    fit.frames = 100;
    fit.squares = 100.0 * 0.0015 * 0.0015;
    return fit;
}

// JCGM 100:2008, 5.1.2: 3 and 4 make 5.
TEST(HalfWidth95, IsTheRootOfTheSumOfSquaresTimesItsFactor)
{
    const std::vector<UncertaintyPart> parts {{UncertaintySource::ReferenceOnset, 3.0, false},
        {UncertaintySource::FirstLight, 4.0, false}};
    EXPECT_NEAR(combinedStandardMs(parts), 5.0, 1e-12);
    EXPECT_NEAR(halfWidth95Ms(parts), 9.79982, 1e-5);
}

// JCGM 100:2008, G.4.1: 0.25, 0.57, 0.82 with 9, 4 and 14 degrees of freedom make 1.03 with 19.0 of
// them; Student's factor of those is 2.093 (the example from memory, the arithmetic by SciPy).
TEST(HalfWidth95, OfEstimatedPartsHasStudentsFactor)
{
    const std::vector<UncertaintyPart> parts {{UncertaintySource::ReferenceOnset, 0.25, false, 9.0},
        {UncertaintySource::FirstLight, 0.57, false, 4.0},
        {UncertaintySource::CameraResponse, 0.82, true, 14.0}};
    EXPECT_NEAR(combinedStandardMs(parts), 1.02946588093, 1e-9);
    EXPECT_NEAR(halfWidth95Ms(parts) / combinedStandardMs(parts), 2.09302405441, 1e-5);
}

TEST(FirstPicture, LeavesNoDoubtOfAnAnswerInOneStep)
{
    EXPECT_EQ(firstPictureStandardMs(answer(1.0), shape, 1.0), 0.0);
}

TEST(FirstPicture, LitByATenthLeavesBothAnswersInside)
{
    for (const double share : {0.097, 0.099, 0.101, 0.103}) {
        const onset::AnswerFit fit = answer(share);
        onset::AnswerFit other = fit;
        const double moved = share < 0.1 ? 0.105 : 0.095;
        other.first = 0.5 * moved;
        other.second = 0.5 - other.first;
        const double apart = std::abs(crossingMs(other, shape, 0.1) - crossingMs(fit, shape, 0.1));
        EXPECT_GT(apart, 0.8 * newFrameMs) << share;
        EXPECT_GE(1.96 * firstPictureStandardMs(fit, shape, 1.0), 0.95 * apart) << share;
    }
}

TEST(FirstPicture, WellLitLeavesLittleDoubt)
{
    for (const double share : {0.3, 0.6, 0.9}) {
        EXPECT_LT(firstPictureStandardMs(answer(share), shape, 1.0), 0.1) << share;
    }
}

} // namespace

} // namespace twinlamp::measure
