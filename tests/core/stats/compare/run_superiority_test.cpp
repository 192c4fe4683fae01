// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/rank_shift.h"
#include "core/stats/compare/run_superiority.h"
#include "tests/core/stats/compare/simulated_link.h"

#include <gtest/gtest.h>
#include <iostream>

namespace twinlamp::stats {
namespace {

using Runs = std::vector<RunLatencies>;

std::vector<double> pooled(const Runs& runs)
{
    std::vector<double> all;
    for (const RunLatencies& run : runs) {
        all.insert(all.end(), run.latenciesMs.begin(), run.latenciesMs.end());
    }
    return all;
}

// Three runs and four, no two of one length.
const Runs someA {{{20, 23, 21}, 0}, {{25, 22}, 0}, {{19, 24, 26, 22}, 0}};
const Runs someB {{{24, 27}, 0}, {{23, 28, 25}, 0}, {{21, 26}, 0}, {{29}, 0}};

TEST(SuperiorityByRuns, DeltaIsThatOfAllPresses)
{
    const auto found = superiorityByRuns({someA, someB});
    ASSERT_TRUE(found);
    const auto independent = superiority({pooled(someB), pooled(someA)});
    EXPECT_NEAR(found->delta.value, independent->delta.value, 1e-15);
    EXPECT_NEAR(found->chance, independent->chance, 1e-15);
}

TEST(SuperiorityByRuns, IntervalByTheWrittenFormula)
{
    // NumPy 1.24 and SciPy 1.10: delta = sign(y[None, :] - x[:, None]).mean() over all presses x of
    // A and y of B; a run r of A has u = delta + len(r) / 3 * (mean over its x of sign(y -
    // x).mean()
    // - delta), likewise v of B with len(r) / 2; va = max(u.var(ddof=1) / 3, within / 4), vb with 4
    // runs; se ** 2 = max(va + vb, pooled as in blockTest); df of Welch; tanh(arctanh(delta) -/+
    // t.ppf(.975, df) * se / (1 - delta ** 2)).
    const auto found = superiorityByRuns({someA, someB});
    EXPECT_NEAR(found->delta.value, 0.597222222222, 1e-10);
    EXPECT_NEAR(found->degrees, 4.93268465246, 1e-8);
    EXPECT_NEAR(found->delta.interval.low.value(), -0.0402802291555, 1e-8);
    EXPECT_NEAR(found->delta.interval.high.value(), 0.88916804282, 1e-8);
    EXPECT_LT(*found->bootstrap.low, found->delta.value);
    EXPECT_GT(*found->bootstrap.high, found->delta.value);
}

TEST(SuperiorityByRuns, SignTurnsRoundWithTheSettings)
{
    const auto there = superiorityByRuns({someA, someB});
    const auto back = superiorityByRuns({someB, someA});
    EXPECT_NEAR(back->delta.value, -there->delta.value, 1e-15);
    EXPECT_NEAR(*back->delta.interval.low, -*there->delta.interval.high, 1e-12);
    EXPECT_NEAR(*back->delta.interval.high, -*there->delta.interval.low, 1e-12);
}

TEST(SuperiorityByRuns, LostAnswersAreLaterThanAllOthers)
{
    Runs lost = someA;
    for (RunLatencies& run : lost) {
        run.lost = static_cast<std::int64_t>(run.latenciesMs.size());
        run.latenciesMs.clear();
    }
    EXPECT_EQ(superiorityByRuns({lost, someB})->delta.value, -1.0);
    EXPECT_EQ(superiorityByRuns({lost, lost})->delta.value, 0.0) << "lost ones are equal";
}

TEST(SuperiorityByRuns, FewRunsOrNoOverlapHaveNoInterval)
{
    const Runs two(someA.begin(), someA.begin() + 2);
    const auto few = superiorityByRuns({two, someB});
    EXPECT_EQ(few->delta.interval, Interval {});
    EXPECT_EQ(few->bootstrap, Interval {});
    Runs far = someB;
    for (RunLatencies& run : far) {
        for (double& latency : run.latenciesMs) {
            latency += 100.0;
        }
    }
    const auto apart = superiorityByRuns({someA, far});
    EXPECT_EQ(apart->delta.value, 1.0);
    EXPECT_EQ(apart->delta.interval, Interval {});
    EXPECT_FALSE(superiorityByRuns({{}, someB}).has_value());
}

/// Share of 95 % intervals that hold the truth, over the runs and over presses as independent.
struct Coverage
{
    double byRuns = 0.0;
    double independent = 0.0;
};

Coverage coverageOf(const simulated::Link& link, double slowerMs, int runs)
{
    simulated::Link slower = link;
    slower.travelMs += slowerMs;
    RandomSource random(41);
    RunComparisonOptions options;
    options.replicates = 0;
    const double truth = superiorityByRuns(
        {simulated::runs(random, link, 800, 20), simulated::runs(random, slower, 800, 20)}, options)
                             ->delta.value;
    constexpr int trials = 1000;
    double byRuns = 0.0;
    double independent = 0.0;
    double withEnds = 0.0;
    for (int trial = 0; trial < trials; ++trial) {
        const Runs a = simulated::runs(random, link, runs, 20);
        const Runs b = simulated::runs(random, slower, runs, 20);
        const auto holds = [truth](const Interval& interval) {
            return *interval.low <= truth && truth <= *interval.high ? 1.0 : 0.0;
        };
        const auto found = superiorityByRuns({a, b}, options);
        const auto beside = superiority({pooled(b), pooled(a)});
        if (found->delta.interval.low && beside->delta.interval.low) {
            withEnds += 1.0;
            byRuns += holds(found->delta.interval);
            independent += holds(beside->delta.interval);
        }
    }
    EXPECT_GE(withEnds, 0.95 * trials);
    return {byRuns / withEnds, independent / withEnds};
}

TEST(SuperiorityByRuns, IntervalHoldsTheTruthUnderLockedAndFreeClocks)
{
    for (const simulated::Link& link : simulated::links()) {
        for (const double slowerMs : {0.0, 4.0}) {
            for (const int runs : {3, 5, 8}) {
                const Coverage coverage = coverageOf(link, slowerMs, runs);
                std::cout << link.name << ", " << slowerMs << " ms slower, " << runs
                          << " runs: delta by runs " << coverage.byRuns
                          << ", as if presses were independent " << coverage.independent << '\n';
                // 95 %, less three counting errors.
                EXPECT_GE(coverage.byRuns, 0.95 - 3.0 * std::sqrt(0.95 * 0.05 / 1000));
            }
        }
    }
}

TEST(Superiority, IntervalHoldsTheTruthOfIndependentPresses)
{
    // Free clocks: presses of a run are nearly independent, and the interval of N. Cliff may be
    // read. Locked clocks: it must not be (the test above prints how seldom it then holds).
    const simulated::Link free {"Free60Into100", 60.0, 100.0, 7.3e-3};
    for (const double slowerMs : {0.0, 4.0}) {
        const double held = coverageOf(free, slowerMs, 3).independent;
        EXPECT_GE(held, 0.93);
        EXPECT_LE(held, 0.98);
    }
}

} // namespace
} // namespace twinlamp::stats
