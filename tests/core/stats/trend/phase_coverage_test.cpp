// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/random_index.h"
#include "core/stats/trend/phase_coverage.h"

#include <gtest/gtest.h>
#include <vector>

namespace twinlamp::stats {
namespace {

TEST(PhaseCoverage, EvenPhasesCoverTheFrame)
{
    std::vector<double> at;
    for (int i = 0; i < 10; ++i) {
        at.push_back(700.0 * 20 * i + 2.0 * i); // a tenth of a frame of 20 ms further each time
    }
    const auto coverage = phaseCoverage(at, 20.0);
    ASSERT_TRUE(coverage);
    EXPECT_NEAR(coverage->resultant, 0.0, 1e-9);
    EXPECT_NEAR(coverage->pValue, 1.0, 1e-9);
    EXPECT_NEAR(coverage->largestGap, 0.1, 1e-9);
}

TEST(PhaseCoverage, PressesInStepAreSeen)
{
    std::vector<double> at;
    for (int i = 0; i < 12; ++i) {
        at.push_back(1e6 + 800.0 * i + 0.3 * (i % 3));
    }
    const auto coverage = phaseCoverage(at, 20.0);
    EXPECT_GT(coverage->resultant, 0.99);
    EXPECT_LT(coverage->pValue, 1e-4);
    EXPECT_GT(coverage->largestGap, 0.9);
}

TEST(PhaseCoverage, PValueOfTwoPresses)
{
    // Opposite phases: no mean direction. One press says nothing.
    EXPECT_NEAR(phaseCoverage(std::vector<double> {0, 10}, 20.0)->pValue, 1.0, 1e-12);
    EXPECT_FALSE(phaseCoverage(std::vector<double> {5}, 20.0).has_value());
}

TEST(PhaseCoverage, FreePressesAreSeldomBlamed)
{
    // Seed 51: presses at random moments; 5 %, four counting errors.
    RandomSource random(51);
    constexpr int trials = 4000;
    for (const std::size_t presses : {6U, 20U, 60U}) {
        int blamed = 0;
        for (int trial = 0; trial < trials; ++trial) {
            std::vector<double> at(presses);
            for (double& when : at) {
                when = 60'000.0 * random.unit();
            }
            blamed += phaseCoverage(at, 1000.0 / 60.0)->pValue < 0.05 ? 1 : 0;
        }
        EXPECT_NEAR(static_cast<double>(blamed) / trials, 0.05, 0.014) << presses;
    }
}

} // namespace
} // namespace twinlamp::stats
