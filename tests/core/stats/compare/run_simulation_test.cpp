// SPDX-License-Identifier: GPL-3.0-or-later
// Two settings that are the same: how often are they told apart? Seeds are fixed; rates are
// printed.
#include "core/stats/compare/rank_shift.h"
#include "core/stats/compare/settings_comparison.h"
#include "tests/core/stats/compare/simulated_link.h"

#include <algorithm>
#include <gtest/gtest.h>
#include <iostream>

namespace twinlamp::stats {
namespace {

using simulated::Link;

class EqualSettings : public ::testing::TestWithParam<Link>
{
};

INSTANTIATE_TEST_SUITE_P(Clocks, EqualSettings, ::testing::ValuesIn(simulated::links()),
    [](const auto& row) { return row.param.name; });

constexpr std::uint64_t seed = 41;
constexpr int trials = 2500;

struct Rates
{
    int shiftByMedians = 0;
    int shiftByMeans = 0;
    int spread = 0;
    int late = 0;
    int any = 0; ///< by medians: shift, spread or late share, each judged alone
    int anyOfAll = 0; ///< the same, judged together
};

Rates countFalseVerdicts(const Link& link, int runsA, int runsB, int presses)
{
    RandomSource random(seed);
    Rates rates;
    RunComparisonOptions options;
    options.replicates = 0;
    options.planNeeded = false;
    RunComparisonOptions byMeans = options;
    byMeans.centre = Centre::Mean;
    // A limit that a tenth to a third of the presses miss, depending on the clocks.
    const double limit = link.travelMs + 1000.0 / link.cameraHz + 2.0;
    const auto told = [](const RunComparison& comparison) {
        return comparison.verdict == Verdict::Undecided ? 0 : 1;
    };
    for (int trial = 0; trial < trials; ++trial) {
        const auto a = simulated::runs(random, link, runsA, presses);
        const auto b = simulated::runs(random, link, runsB, presses);
        const int shift = told(compareShift({a, b}, options));
        const int spread = told(compareSpread({a, b}, options));
        const int late
            = told(compareLateShare({lateCounts(a, limit), lateCounts(b, limit)}, options));
        rates.shiftByMedians += shift;
        rates.shiftByMeans += told(compareShift({a, b}, byMeans));
        rates.spread += spread;
        rates.late += late;
        rates.any += std::max({shift, spread, late});
        const SettingsComparison all = compareSettings({a, b}, limit, options);
        rates.anyOfAll
            += std::max({told(all.shift.byRuns), told(all.spread.byRuns), told(all.late->byRuns)});
    }
    return rates;
}

/// 5 %, and three standard errors of counting.
const double allowed = 0.05 + 3.0 * std::sqrt(0.05 * 0.95 / trials);

TEST_P(EqualSettings, AreToldApartInNoMoreThanFivePercent)
{
    struct Layout
    {
        int runsA;
        int runsB;
        int presses;
    };

    for (const Layout layout :
        {Layout {3, 3, 20}, {4, 4, 20}, {5, 5, 20}, {6, 6, 20}, {3, 6, 20}, {3, 10, 20}}) {
        const Rates rates
            = countFalseVerdicts(GetParam(), layout.runsA, layout.runsB, layout.presses);
        const auto rate = [](int count) { return static_cast<double>(count) / trials; };
        std::cout << "rate " << GetParam().name << " runs " << layout.runsA << " and "
                  << layout.runsB << ": shift " << rate(rates.shiftByMedians) << " (medians) "
                  << rate(rates.shiftByMeans) << " (means), spread " << rate(rates.spread)
                  << ", late share " << rate(rates.late) << ", any of the three " << rate(rates.any)
                  << ", judged together " << rate(rates.anyOfAll) << '\n';
        EXPECT_LE(rate(rates.shiftByMedians), allowed);
        EXPECT_LE(rate(rates.shiftByMeans), allowed);
        EXPECT_LE(rate(rates.spread), allowed);
        EXPECT_LE(rate(rates.late), allowed);
        EXPECT_LE(rate(rates.anyOfAll), allowed);
    }
}

TEST(LockedClocks, PressesTakenAsIndependentTellEqualSettingsApart)
{
    // Why runs are the blocks: one run of 40 presses each, Mann-Whitney over the presses.
    for (const Link& link : simulated::links()) {
        RandomSource random(seed);
        int told = 0;
        int toldByBootstrap = 0;
        constexpr int pairs = 400;
        RunComparisonOptions options;
        options.replicates = 400;
        for (int trial = 0; trial < pairs; ++trial) {
            const auto a = simulated::runs(random, link, 3, 40);
            const auto b = simulated::runs(random, link, 3, 40);
            told += mannWhitney({a[0].latenciesMs, b[0].latenciesMs})->pValue < 0.05 ? 1 : 0;
            options.seed = static_cast<std::uint64_t>(trial);
            const Interval ends = compareShift({a, b}, options).bootstrap;
            toldByBootstrap += *ends.low > 0.0 || *ends.high < 0.0 ? 1 : 0;
        }
        const double rate = static_cast<double>(told) / pairs;
        std::cout << "rate " << link.name << ": presses of one run as independent " << rate
                  << "; bootstrap of 3 runs " << static_cast<double>(toldByBootstrap) / pairs
                  << '\n';
        // 60 into 100 leaves offsets of a fifth of the camera's frame only; the others half and
        // all.
        if (link.panelOff == 0.0 && link.panelHz != 100.0) {
            EXPECT_GE(rate, 0.2) << link.name;
        }
    }
}

TEST_P(EqualSettings, IntervalOfTheShiftHoldsTheTruth)
{
    // B travels 4 ms longer; 5 runs each. 95 % less three counting errors, and not always.
    RandomSource random(seed + 1);
    Link slower = GetParam();
    slower.travelMs += 4.0;
    slower.jitterMs = GetParam().jitterMs;
    RunComparisonOptions options;
    options.replicates = 0;
    options.planNeeded = false;
    options.centre = Centre::Mean;
    int held = 0;
    int wrongSide = 0;
    for (int trial = 0; trial < trials; ++trial) {
        const auto a = simulated::runs(random, GetParam(), 5, 20);
        const auto b = simulated::runs(random, slower, 5, 20);
        const RunComparison shift = compareShift({a, b}, options);
        held += *shift.difference.interval.low <= 4.0 && 4.0 <= *shift.difference.interval.high;
        wrongSide += shift.verdict == Verdict::BLess ? 1 : 0;
    }
    std::cout << "rate " << GetParam().name << ": interval holds the truth "
              << static_cast<double>(held) / trials << '\n';
    EXPECT_GE(static_cast<double>(held) / trials, 0.935);
    EXPECT_LE(static_cast<double>(wrongSide) / trials, 0.01);
}

TEST(LockedClocks, SameWithinIsSeldomSaidOfADifferenceAtTheMargin)
{
    // Two one-sided tests at 95 %: a true difference of just the margin passes in 5 % at most.
    RandomSource random(seed + 2);
    const Link link {"", 60.0, 120.0, 0.0, 15.0, 0.3};
    Link slower = link;
    slower.travelMs += 6.0;
    RunComparisonOptions options;
    options.replicates = 0;
    options.planNeeded = false;
    options.centre = Centre::Mean;
    options.marginMs = 6.0;
    int said = 0;
    int saidOfEqual = 0;
    for (int trial = 0; trial < trials; ++trial) {
        const auto a = simulated::runs(random, link, 6, 20);
        const auto b = simulated::runs(random, slower, 6, 20);
        const auto c = simulated::runs(random, link, 6, 20);
        said += compareShift({a, b}, options).verdict == Verdict::SameWithin ? 1 : 0;
        saidOfEqual += compareShift({a, c}, options).verdict == Verdict::SameWithin ? 1 : 0;
    }
    std::cout << "rate same-within at the margin " << static_cast<double>(said) / trials
              << ", of equal settings " << static_cast<double>(saidOfEqual) / trials << '\n';
    EXPECT_LE(static_cast<double>(said) / trials, allowed);
    EXPECT_GE(static_cast<double>(saidOfEqual) / trials, 0.5);
}

} // namespace
} // namespace twinlamp::stats
