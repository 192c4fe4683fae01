// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/run_superiority.h"
#include "core/stats/compare/settings_comparison.h"
#include "tests/core/stats/compare/simulated_link.h"

#include <algorithm>
#include <gtest/gtest.h>
#include <random>
#include <utility>

namespace twinlamp::stats {
namespace {

using Runs = std::vector<RunLatencies>;

/// Runs of 9 latencies about the given centres, evenly spread over +- `reach`.
Runs about(const std::vector<double>& centres, double reach = 4.0)
{
    Runs runs;
    for (const double centre : centres) {
        RunLatencies& run = runs.emplace_back();
        for (int i = -4; i <= 4; ++i) {
            run.latenciesMs.push_back(centre + reach * i / 4.0);
        }
    }
    return runs;
}

TEST(CompareSettings, AsksWhatItIsAskedFor)
{
    const Runs a = about({20, 21, 22, 20.5});
    const Runs b = about({30, 31, 29, 30.5}, 8.0);
    const SettingsComparison two = compareSettings({a, b}, {});
    EXPECT_EQ(two.questions, 2);
    EXPECT_FALSE(two.late);
    EXPECT_EQ(two.shift.byRuns.verdict, Verdict::ALess);
    EXPECT_EQ(two.spread.byRuns.verdict, Verdict::ALess);
    EXPECT_EQ(two.shift.byRuns.difference, compareShift({a, b}).difference);
    const SettingsComparison three = compareSettings({a, b}, 27.0);
    EXPECT_EQ(three.questions, 3);
    EXPECT_EQ(three.late->byRuns.verdict, Verdict::ALess);
}

TEST(CompareSettings, AdjustsByHolm)
{
    // p of the shift doubles where it is the smaller of two, the other one stays.
    const Runs a = about({20, 22, 24});
    const Runs b = about({24.1, 26.1, 28.1}, 4.1);
    const SettingsComparison both = compareSettings({a, b}, {});
    const double shift = *both.shift.byRuns.pValue;
    const double spread = *both.spread.byRuns.pValue;
    const double smaller = std::min(shift, spread);
    const double larger = std::max(shift, spread);
    const bool shiftFirst = shift <= spread;
    EXPECT_DOUBLE_EQ(
        *(shiftFirst ? both.shift : both.spread).adjustedPValue, std::min(1.0, 2.0 * smaller));
    EXPECT_DOUBLE_EQ(*(shiftFirst ? both.spread : both.shift).adjustedPValue,
        std::max(larger, std::min(1.0, 2.0 * smaller)));
}

TEST(CompareSettings, HoldsBackWhatOnlyOneQuestionWouldTell)
{
    const Runs a = about({20, 22, 24}, 4.0);
    for (int step = 0; step < 300; ++step) {
        const double centre = 25.0 + 0.05 * step;
        const Runs b = about({centre - 2.0, centre, centre + 2.0}, 4.0);
        const RunComparison alone = compareShift({a, b});
        const SettingsComparison both = compareSettings({a, b}, {});
        if (alone.verdict == Verdict::Undecided || !both.shift.heldBack) {
            continue;
        }
        EXPECT_EQ(alone.verdict, Verdict::ALess);
        EXPECT_EQ(both.shift.byRuns.verdict, Verdict::Undecided);
        EXPECT_GT(*both.shift.byRuns.difference.interval.low, 0.0);
        ASSERT_TRUE(both.shift.byRuns.needed);
        EXPECT_GT(both.shift.byRuns.needed->runs, 3);
        EXPECT_EQ(both.shift.byRuns.reason->id, "compare-not-told");
        return;
    }
    FAIL() << "no shift on the way was held back";
}

TEST(CompareSettings, SameWithinIsAQuestionOfItsOwn)
{
    RunComparisonOptions options;
    options.marginMs = 5.0;
    const Runs a = about({20, 20.2, 20.4, 20.1, 20.3});
    const Runs b = about({20.1, 20.3, 20.2, 20.4, 20.2});
    const SettingsComparison same = compareSettings({a, b}, {}, options);
    EXPECT_EQ(same.shift.byRuns.verdict, Verdict::SameWithin);
    EXPECT_EQ(same.questions, 3); // shift, margin, spread
    const Runs c = about({40, 40.2, 40.4, 40.1, 40.3});
    EXPECT_EQ(compareSettings({a, c}, {}, options).shift.byRuns.verdict, Verdict::ALess);
}

TEST(CompareSettings, FewRunsAreUndecidedAndAskForRestarts)
{
    const Runs a = about({20, 21});
    const Runs b = about({40, 41, 42});
    const SettingsComparison few = compareSettings({a, b}, 30.0);
    EXPECT_EQ(few.questions, 0);
    for (const FigureVerdict* figure : {&few.shift, &few.spread, &*few.late}) {
        EXPECT_EQ(figure->byRuns.verdict, Verdict::Undecided);
        EXPECT_EQ(figure->byRuns.reason->id, "compare-few-runs");
        EXPECT_FALSE(figure->heldBack);
        EXPECT_FALSE(figure->adjustedPValue);
    }
}

TEST(CompareSettings, OrderOfPressesAndRunsChangesNothing)
{
    RandomSource random(12);
    std::mt19937_64 shuffling(12);
    RunComparisonOptions options;
    options.replicates = 0; // resampling draws by place
    for (int trial = 0; trial < 10; ++trial) {
        Runs a = simulated::runs(random, {}, 4, 15);
        Runs b = simulated::runs(random, {}, 5, 12);
        a[1].lost = 2;
        const SettingsComparison before = compareSettings({a, b}, 33.0, options);
        const auto effect = superiorityByRuns({a, b}, options);
        for (Runs* runs : {&a, &b}) {
            std::ranges::shuffle(*runs, shuffling);
            for (RunLatencies& run : *runs) {
                std::ranges::shuffle(run.latenciesMs, shuffling);
            }
        }
        const SettingsComparison after = compareSettings({a, b}, 33.0, options);
        for (const auto& [was, is] : {std::pair {before.shift, after.shift},
                 {before.spread, after.spread}, {*before.late, *after.late}}) {
            EXPECT_NEAR(is.byRuns.difference.value, was.byRuns.difference.value, 1e-9);
            EXPECT_NEAR(
                *is.byRuns.difference.interval.low, *was.byRuns.difference.interval.low, 1e-9);
            EXPECT_NEAR(*is.byRuns.pValue, *was.byRuns.pValue, 1e-9);
            EXPECT_EQ(is.byRuns.verdict, was.byRuns.verdict);
            EXPECT_EQ(is.byRuns.needed, was.byRuns.needed);
        }
        const auto turned = superiorityByRuns({a, b}, options);
        EXPECT_NEAR(turned->delta.value, effect->delta.value, 1e-12);
        EXPECT_NEAR(*turned->delta.interval.high, *effect->delta.interval.high, 1e-9);
    }
}

} // namespace
} // namespace twinlamp::stats
