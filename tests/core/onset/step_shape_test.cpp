// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/shape_table.h"
#include "core/onset/step_shape.h"

#include <cmath>
#include <gtest/gtest.h>

namespace twinlamp::onset {

namespace {

TEST(StepShape, LinearRampReachesItsTenthsInProportion)
{
    // A region over the middle fifth of a panel swept in 10 ms: 2 ms from its first row to its
    // last.
    const StepShape shape {2.0, 0.0};
    EXPECT_NEAR(shape.timeOf(0.1), 0.2, 1e-6);
    EXPECT_NEAR(shape.timeOf(0.5), 1.0, 1e-6);
    EXPECT_NEAR(shape.timeOf(0.9), 1.8, 1e-6);
}

TEST(StepShape, ExponentialResponseMatchesItsClosedForm)
{
    // t10 = tau ln(10/9), t50 = tau ln 2, t90 = tau ln 10.
    const StepShape shape {0.0, 2.0};
    EXPECT_NEAR(shape.timeOf(0.1), 2.0 * 0.105360515658, 1e-6);
    EXPECT_NEAR(shape.timeOf(0.5), 2.0 * 0.693147180560, 1e-6);
    EXPECT_NEAR(shape.timeOf(0.9), 2.0 * 2.302585092994, 1e-6);
}

struct SweptPanel
{
    double tauMs;
    double t10;
    double t50;
    double t90;
};

class PanelMean : public ::testing::TestWithParam<SweptPanel>
{
};

// Mean of a panel swept in 10 ms whose pixels answer exponentially: computed with NumPy.
TEST_P(PanelMean, MatchesSweepAndResponseTogether)
{
    const SweptPanel p = GetParam();
    const StepShape shape {10.0, p.tauMs};
    EXPECT_NEAR(shape.timeOf(0.1), p.t10, 1e-6);
    EXPECT_NEAR(shape.timeOf(0.5), p.t50, 1e-6);
    EXPECT_NEAR(shape.timeOf(0.9), p.t90, 1e-6);
}

INSTANTIATE_TEST_SUITE_P(Sweep10Ms, PanelMean,
    ::testing::Values(SweptPanel {0.0, 1.0, 5.0, 9.0},
        SweptPanel {1.0, 1.841406, 5.997515, 9.999955},
        SweptPanel {2.0, 2.396581, 6.937694, 11.372773},
        SweptPanel {3.0, 2.833301, 7.775340, 13.186859},
        SweptPanel {5.0, 3.533803, 9.207028, 17.320122}));

struct WeighedSweep
{
    SweepWeights weights;
    double t10;
    double t50;
    double t90;
};

class WeighedMean : public ::testing::TestWithParam<WeighedSweep>
{
};

// A region swept in 3 ms whose stretches weigh differently, response 0.5 ms: computed with NumPy on
// a grid of 0.0001 ms.
TEST_P(WeighedMean, MatchesNumericalConvolution)
{
    const WeighedSweep p = GetParam();
    const StepShape shape {3.0, 0.5, std::make_shared<const SweepWeights>(p.weights)};
    EXPECT_NEAR(shape.timeOf(0.1), p.t10, 5e-4);
    EXPECT_NEAR(shape.timeOf(0.5), p.t50, 5e-4);
    EXPECT_NEAR(shape.timeOf(0.9), p.t90, 5e-4);
}

INSTANTIATE_TEST_SUITE_P(Sweep3Ms, WeighedMean,
    ::testing::Values(WeighedSweep {{0.2, 0.6, 0.2}, 0.92055, 1.94623, 3.10399},
        WeighedSweep {{0.1, 0.2, 0.3, 0.4}, 1.09719, 2.45610, 3.45310}));

TEST(StepShape, OvershootAimsTooFarUntilItComesBack)
{
    // 1.25 (1 - exp(-t / 2)) for 8 ms; from then on less 0.25 (1 - exp(-(t - 8) / 2)).
    const StepShape shape {0.0, 2.0, {}, {0.25, 8.0}};
    EXPECT_NEAR(shape.at(3.0), 1.25 * (1.0 - std::exp(-1.5)), 1e-12);
    EXPECT_NEAR(shape.at(8.0), 1.25 * (1.0 - std::exp(-4.0)), 1e-12);
    EXPECT_NEAR(
        shape.at(10.0), 1.25 * (1.0 - std::exp(-5.0)) - 0.25 * (1.0 - std::exp(-1.0)), 1e-12);
    EXPECT_NEAR(shape.at(60.0), 1.0, 1e-9);
    // A tenth of the step comes as it would with a step a quarter higher.
    EXPECT_NEAR(shape.timeOf(0.1), (StepShape {0.0, 2.0}.timeOf(0.08)), 1e-6);
}

TEST(StepShape, TableOfAnOvershootMatchesItsIntegral)
{
    const StepShape shape {3.0, 0.8, {}, {0.3, 9.0}};
    const ShapeTable table(shape, 0.9);
    for (const double since : {-0.5, 0.4, 2.0, 5.0, 9.5, 12.0, 20.0}) {
        // Mean over the exposure in a thousand steps.
        double sum = 0.0;
        for (int i = 0; i < 1000; ++i) {
            sum += shape.at(since + 0.9 * (i + 0.5) / 1000.0) / 1000.0;
        }
        EXPECT_NEAR(table.at(since), sum, 1e-3) << since;
    }
}

TEST(StepShape, EvenWeightsAreNoWeights)
{
    const StepShape plain {2.4, 0.7};
    const StepShape even {
        2.4, 0.7, std::make_shared<const SweepWeights>(SweepWeights(6, 1.0 / 6.0))};
    for (const double t : {-1.0, 0.1, 0.9, 1.7, 2.4, 5.0}) {
        EXPECT_NEAR(even.at(t), plain.at(t), 1e-9) << t;
        EXPECT_NEAR(even.meanOver(t, 1.3), plain.meanOver(t, 1.3), 1e-9) << t;
    }
}

TEST(StepShape, BoxExposureOfAStepIsItsLitFraction)
{
    const StepShape step {0.0, 0.0};
    // An exposure of 4 ms that ends 1 ms after the switching has seen a quarter.
    EXPECT_NEAR(step.meanOver(-3.0, 4.0), 0.25, 1e-4);
    EXPECT_EQ(step.meanOver(-4.5, 4.0), 0.0);
    EXPECT_NEAR(step.meanOver(0.1, 4.0), 1.0, 1e-4);
}

TEST(StepShape, BoxExposureOfARampMatchesItsClosedForm)
{
    // t^2 / (2 T E) while the exposure's end is within min(T, E) of the start; (t - E/2) / T in the
    // middle.
    const StepShape ramp {10.0, 0.0};
    constexpr double exposure = 25.0 / 6.0;
    EXPECT_NEAR(ramp.meanOver(2.0 - exposure, exposure), 2.0 * 2.0 / (2.0 * 10.0 * exposure), 1e-9);
    EXPECT_NEAR(ramp.meanOver(7.0 - exposure, exposure), (7.0 - 0.5 * exposure) / 10.0, 1e-9);
}

TEST(StepShape, BoxExposureOfAnExponentialMatchesItsClosedForm)
{
    const StepShape shape {0.0, 1.0};
    // [t - tau (1 - exp(-t / tau))] / E, at t = E = 1.
    EXPECT_NEAR(shape.meanOver(0.0, 1.0), std::exp(-1.0), 1e-9);
}

TEST(StepShape, BoxExposureOfAnExponentialDecaysAfterItsFirstExposure)
{
    const StepShape shape {0.0, 2.0};
    // 1 - (tau / E) (exp(E / tau) - 1) exp(-t / tau), t the end of the exposure, t >= E.
    constexpr double exposure = 1.5;
    for (const double end : {1.5, 2.5, 6.0}) {
        const double expected
            = 1.0 - 2.0 / exposure * std::expm1(exposure / 2.0) * std::exp(-end / 2.0);
        EXPECT_NEAR(shape.meanOver(end - exposure, exposure), expected, 1e-9) << end;
    }
}

struct FrameMeans
{
    double rampMs;
    double tauMs;
    double exposureMs;
    double t10; ///< end of the exposure whose mean is a tenth of the step
    double t50;
    double t90;
};

class CrossingOfFrameMeans : public ::testing::TestWithParam<FrameMeans>
{
};

// Where the mean over a box exposure crosses 10, 50 and 90 %, in time of the exposure's end:
// computed with NumPy. In closed form, t10 of a ramp is sqrt(0.2 T E) while the longer of T and E
// is at most 5 times the shorter, else 0.1 max + 0.5 min.
TEST_P(CrossingOfFrameMeans, MatchesNumericalIntegration)
{
    const FrameMeans p = GetParam();
    const StepShape shape {p.rampMs, p.tauMs};
    const auto seenAt
        = [&](double endMs) { return shape.meanOver(endMs - p.exposureMs, p.exposureMs); };
    // The times have 6 decimals and the light moves by less than 1 per ms.
    EXPECT_NEAR(seenAt(p.t10), 0.1, 1e-6);
    EXPECT_NEAR(seenAt(p.t50), 0.5, 1e-6);
    EXPECT_NEAR(seenAt(p.t90), 0.9, 1e-6);
}

INSTANTIATE_TEST_SUITE_P(RampsAndExponentials, CrossingOfFrameMeans,
    ::testing::Values(FrameMeans {10.0, 0.0, 1.0, 1.5, 5.5, 9.5},
        FrameMeans {10.0, 0.0, 25.0 / 6.0, 2.886751, 7.083333, 11.279915},
        FrameMeans {4.0, 0.0, 4.0, 1.788854, 4.0, 6.211146},
        FrameMeans {2.0, 0.0, 4.0, 1.264911, 3.0, 4.735089},
        FrameMeans {1.0, 0.0, 8.0, 1.3, 4.5, 7.7},
        FrameMeans {0.0, 1.0, 1.0, 0.483183, 1.234472, 2.843910},
        FrameMeans {0.0, 2.0, 1.0, 0.667621, 1.907084, 5.125960},
        FrameMeans {0.0, 2.0, 25.0 / 6.0, 1.446152, 3.781401, 7.037945},
        FrameMeans {0.0, 5.0, 25.0 / 6.0, 2.190106, 5.692917, 13.740107}));

struct PartOfPanel
{
    double from;
    double to;
    double t10;
    double t50;
    double t90;
};

// t_p = S (a + p (b - a)) of a region that covers the fraction a to b of a panel swept in S = 10
// ms: a lamp's region and the whole panel do not cross a tenth together.
TEST(StepShape, APartOfASweptPanelCrossesItsTenthsInProportion)
{
    constexpr double sweepMs = 10.0;
    for (const PartOfPanel& part : {PartOfPanel {0.0, 1.0, 1.0, 5.0, 9.0},
             PartOfPanel {0.4, 0.6, 4.2, 5.0, 5.8}, PartOfPanel {0.0, 0.1, 0.1, 0.5, 0.9}}) {
        const StepShape shape {sweepMs * (part.to - part.from), 0.0};
        EXPECT_NEAR(sweepMs * part.from + shape.timeOf(0.1), part.t10, 1e-6);
        EXPECT_NEAR(sweepMs * part.from + shape.timeOf(0.5), part.t50, 1e-6);
        EXPECT_NEAR(sweepMs * part.from + shape.timeOf(0.9), part.t90, 1e-6);
    }
}

TEST(ShapeTable, StaysWithinATenThousandthOfTheShape)
{
    const StepShape shape {1.7, 0.9};
    const ShapeTable table(shape, 3.8);
    for (int i = 0; i < 500; ++i) {
        const double t = -5.0 + 0.037 * i;
        EXPECT_NEAR(table.at(t), shape.meanOver(t, 3.8), 1e-4) << t;
    }
}

TEST(ShapeTable, StaysAsNearToAWeighedShape)
{
    const StepShape shape {
        4.2, 0.6, std::make_shared<const SweepWeights>(SweepWeights {0.05, 0.3, 0.4, 0.2, 0.05})};
    for (const double exposure : {0.4, 3.8}) {
        const ShapeTable table(shape, exposure);
        for (int i = 0; i < 500; ++i) {
            const double t = -5.0 + 0.037 * i;
            EXPECT_NEAR(table.at(t), shape.meanOver(t, exposure), 2e-4) << t;
        }
    }
}

} // namespace

} // namespace twinlamp::onset
