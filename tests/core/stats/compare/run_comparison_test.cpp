// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/run_comparison.h"
#include "core/stats/compare/welch.h"
#include "tests/core/stats/compare/simulated_link.h"

#include <algorithm>
#include <chrono>
#include <gtest/gtest.h>

namespace twinlamp::stats {
namespace {

using Runs = std::vector<RunLatencies>;

/// Runs of five latencies about each centre.
Runs about(const std::vector<double>& centres, double reach = 1.0)
{
    Runs runs;
    for (const double centre : centres) {
        runs.push_back(
            {{centre - reach, centre - reach / 2, centre, centre + reach / 2, centre + reach}, 0});
    }
    return runs;
}

TEST(CompareShift, IsWelchOverRunCentres)
{
    // Where the smaller set scatters more, as here, the pooled variance does not enter.
    const std::vector<double> a {20, 24, 27, 22};
    const std::vector<double> b {31, 36, 40};
    const RunComparison shift = compareShift({about(a), about(b)});
    const auto welch = welchTest({b, a});
    ASSERT_TRUE(welch);
    EXPECT_NEAR(shift.difference.value, welch->difference.value, 1e-12);
    EXPECT_NEAR(*shift.difference.interval.low, *welch->difference.interval.low, 1e-12);
    EXPECT_NEAR(*shift.difference.interval.high, *welch->difference.interval.high, 1e-12);
    EXPECT_NEAR(*shift.pValue, welch->pValue, 1e-12);
    EXPECT_EQ(shift.verdict, Verdict::ALess);
    EXPECT_EQ(shift.reason, std::nullopt);
    EXPECT_EQ(shift.runsA, 4);
    EXPECT_EQ(shift.runsB, 3);
}

TEST(CompareShift, FewRunsThatAgreeDoNotOutvoteMany)
{
    // Three runs within 0.2 ms against six over 10 ms: Welch alone would take the three at their
    // word.
    const std::vector<double> a {20, 20.1, 20.2};
    const std::vector<double> b {22, 32, 24, 30, 26, 28};
    const RunComparison shift = compareShift({about(a, 0.1), about(b, 0.1)});
    const auto welch = welchTest({b, a});
    EXPECT_LT(*shift.difference.interval.low, *welch->difference.interval.low);
    EXPECT_NEAR(shift.degrees, welch->degrees, 1e-9);
}

TEST(CompareShift, MirrorsWithItsSettings)
{
    const Runs a = about({20, 24, 27, 22});
    const Runs b = about({31, 36, 40});
    const RunComparison forth = compareShift({a, b});
    const RunComparison back = compareShift({b, a});
    EXPECT_EQ(back.verdict, Verdict::BLess);
    EXPECT_NEAR(back.difference.value, -forth.difference.value, 1e-12);
    EXPECT_NEAR(*back.difference.interval.low, -*forth.difference.interval.high, 1e-12);
}

TEST(CompareShift, ShiftingBothShiftsNothing)
{
    const RunComparison before = compareShift({about({20, 24, 27}), about({31, 36, 40})});
    const RunComparison after = compareShift({about({120, 124, 127}), about({131, 136, 140})});
    EXPECT_NEAR(before.difference.value, after.difference.value, 1e-12);
    EXPECT_NEAR(*before.difference.interval.low, *after.difference.interval.low, 1e-10);
}

TEST(CompareShift, TwoRunsDecideNothing)
{
    // However far apart.
    const RunComparison shift = compareShift({about({20, 20.1}), about({80, 80.1, 80.2, 80.3})});
    EXPECT_EQ(shift.verdict, Verdict::Undecided);
    EXPECT_EQ(shift.difference.interval, Interval {});
    EXPECT_EQ(shift.pValue, std::nullopt);
    EXPECT_NEAR(shift.difference.value, 60.1, 0.1);
    ASSERT_TRUE(shift.reason);
    EXPECT_EQ(shift.reason->id, "compare-few-runs");
    EXPECT_NE(english(*shift.reason).find("Restart the link"), std::string::npos);
}

TEST(CompareShift, RunsWithoutPressesDoNotCount)
{
    Runs a = about({20, 24});
    a.emplace_back();
    const RunComparison shift = compareShift({a, about({31, 36, 40})});
    EXPECT_EQ(shift.runsA, 2);
    EXPECT_EQ(shift.verdict, Verdict::Undecided);
    EXPECT_EQ(compareShift({}).verdict, Verdict::Undecided);
}

TEST(CompareShift, LostAnswersCountAsLate)
{
    Runs a = about({20, 24, 27});
    Runs lossy = a;
    for (RunLatencies& run : lossy) {
        run.lost = 2; // 5 known of 7: the median is the largest but one
    }
    EXPECT_NEAR(compareShift({a, lossy}).difference.value, 0.5, 1e-12);
    lossy[1].lost = 6;
    const RunComparison shift = compareShift({a, lossy});
    EXPECT_EQ(shift.verdict, Verdict::Undecided);
    EXPECT_EQ(shift.reason, (Sentence {"compare-run-lost", {"0", "1"}}));
}

TEST(CompareShift, UndecidedSaysHowManyRunsWouldTell)
{
    const Runs a = about({20, 26, 23, 29});
    const Runs b = about({22, 28, 25, 31});
    const RunComparison shift = compareShift({a, b});
    EXPECT_EQ(shift.verdict, Verdict::Undecided);
    ASSERT_TRUE(shift.needed);
    // SD 3.87 of run centres, difference 2: about 2 (1.96 + 0.84)^2 (3.87 / 2)^2 = 59 runs.
    EXPECT_NEAR(static_cast<double>(shift.needed->runs), 60.0, 2.0);
    EXPECT_EQ(shift.needed->presses, 5 * shift.needed->runs);
    EXPECT_EQ(shift.reason->id, "compare-not-told");
    const RunComparison none = compareShift({a, a});
    EXPECT_EQ(none.needed, std::nullopt);
    EXPECT_EQ(none.reason->id, "compare-no-difference");
}

TEST(CompareShift, NeededRunsDoTell)
{
    // Seed 3: with the runs it asks for, 80 % of campaigns tell the difference that was planned.
    RandomSource random(3);
    const simulated::Link link {"", 60.0, 100.0, 0.0, 15.0, 0.3};
    simulated::Link slower = link;
    slower.travelMs += 1.5;
    RunComparisonOptions options;
    options.replicates = 0;
    options.centre = Centre::Mean;
    double variance = 0.0;
    for (int i = 0; i < 400; ++i) {
        const double centre = compareShift(
            {simulated::runs(random, link, 1, 20), simulated::runs(random, link, 1, 20)}, options)
                                  .difference.value;
        variance += centre * centre / 2.0 / 400.0;
    }
    const auto planned = differencePlan({std::sqrt(variance), 1.5, 0.8, 0.95});
    ASSERT_TRUE(planned);
    int told = 0;
    for (int trial = 0; trial < 500; ++trial) {
        const auto count = static_cast<int>(planned->presses);
        told += compareShift({simulated::runs(random, link, count, 20),
                                 simulated::runs(random, slower, count, 20)},
                    options)
                    .verdict
                == Verdict::ALess
            ? 1
            : 0;
    }
    EXPECT_NEAR(told / 500.0, 0.8, 0.08) << planned->presses << " runs";
}

TEST(CompareShift, MarginSaysTheSame)
{
    const Runs a = about({20, 20.4, 19.8, 20.2});
    const Runs b = about({20.2, 20.6, 20.0, 20.4});
    RunComparisonOptions options;
    options.marginMs = 3.0;
    EXPECT_EQ(compareShift({a, b}, options).verdict, Verdict::SameWithin);
    options.marginMs = 0.3;
    EXPECT_EQ(compareShift({a, b}, options).verdict, Verdict::Undecided);
    options.marginMs.reset();
    EXPECT_EQ(compareShift({a, b}, options).verdict, Verdict::Undecided);
}

TEST(CompareShift, ScatterWithinTheRunsIsAFloor)
{
    // Three medians that agree by luck do not make certain what 5 presses spread over 20 ms say.
    const Runs a = about({20, 20, 20}, 10.0);
    const Runs b = about({21, 21, 21}, 10.0);
    const RunComparison shift = compareShift({a, b});
    EXPECT_EQ(shift.verdict, Verdict::Undecided);
    EXPECT_GT(*shift.difference.interval.high, 4.0);
}

TEST(CompareShift, OtherRigsWidenTheInterval)
{
    const Runs a = about({20, 24, 27, 22});
    const Runs b = about({31, 36, 40});
    RunComparisonOptions options;
    options.rigVarianceMs2 = 100.0;
    const RunComparison apart = compareShift({a, b}, options);
    EXPECT_EQ(apart.verdict, Verdict::Undecided);
    EXPECT_EQ(apart.difference.value, compareShift({a, b}).difference.value);
}

TEST(CompareShift, BootstrapIsSeededAndQuick)
{
    RandomSource random(5);
    const auto a = simulated::runs(random, {}, 5, 40);
    const auto b = simulated::runs(random, {}, 5, 40);
    const auto start = std::chrono::steady_clock::now();
    const RunComparison shift = compareShift({a, b});
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    EXPECT_EQ(compareShift({a, b}), shift);
    EXPECT_LT(took.count(), 1.0); // 2 x 200 presses, 10 000 replicates
    ASSERT_TRUE(shift.bootstrap.low && shift.bootstrap.high);
    EXPECT_LE(*shift.bootstrap.low, shift.difference.value);
    EXPECT_GE(*shift.bootstrap.high, shift.difference.value);
}

TEST(CompareSpread, IsTheRatioWithinRuns)
{
    // Offsets between runs are no spread; the ratio is 3 whatever they are.
    const Runs a = about({20, 40, 27, 22}, 1.0);
    const Runs b = about({31, 16, 90}, 3.0);
    const RunComparison spread = compareSpread({a, b});
    EXPECT_NEAR(spread.difference.value, 3.0, 1e-12);
    EXPECT_EQ(spread.verdict, Verdict::ALess);
    EXPECT_EQ(compareSpread({b, a}).verdict, Verdict::BLess);
    EXPECT_NEAR(compareSpread({b, a}).difference.value, 1.0 / 3.0, 1e-12);
}

TEST(CompareSpread, FewRunsOrEqualLatenciesDecideNothing)
{
    EXPECT_EQ(
        compareSpread({about({20, 21}), about({20, 21, 22}, 9.0)}).verdict, Verdict::Undecided);
    const RunComparison none = compareSpread({about({20, 21, 22}, 0.0), about({20, 21, 22})});
    EXPECT_EQ(none.verdict, Verdict::Undecided);
    EXPECT_EQ(none.reason->id, "compare-no-spread");
}

TEST(CompareLateShare, IsOfAllPresses)
{
    const std::vector<Count> a {{1, 40}, {0, 40}, {2, 40}, {1, 40}};
    const std::vector<Count> b {{12, 40}, {15, 40}, {9, 40}, {13, 40}};
    const RunComparison late = compareLateShare({a, b});
    EXPECT_NEAR(late.difference.value, 49.0 / 160 - 4.0 / 160, 1e-12);
    EXPECT_EQ(late.verdict, Verdict::ALess);
    EXPECT_EQ(compareLateShare({b, a}).verdict, Verdict::BLess);
    EXPECT_GE(*late.pValue, newcombePValue({49, 160}, {4, 160}));
    EXPECT_LT(*late.pValue, 0.05);
}

TEST(CompareLateShare, RunsOfUnequalLengthWeighByTheirPresses)
{
    const std::vector<Count> a {{1, 10}, {0, 50}, {2, 40}, {0, 0}};
    const std::vector<Count> b {{5, 50}, {1, 10}, {4, 40}};
    const RunComparison late = compareLateShare({a, b});
    EXPECT_NEAR(late.difference.value, 0.10 - 0.03, 1e-12);
    EXPECT_EQ(late.runsA, 3);
}

TEST(CompareLateShare, RunsThatAgreeByLuckProveNothing)
{
    // None of 60 against 3 of 60, the same in every run: over runs alone the scatter would be 0.
    const std::vector<Count> none {{0, 20}, {0, 20}, {0, 20}};
    const std::vector<Count> some {{1, 20}, {1, 20}, {1, 20}};
    const RunComparison late = compareLateShare({none, some});
    EXPECT_EQ(late.verdict, Verdict::Undecided);
    const ShareDifference independent = newcombeDifference({3, 60}, {0, 60});
    EXPECT_LE(*late.difference.interval.low, independent.low);
    EXPECT_GE(*late.pValue, 0.05);
    const RunComparison equal = compareLateShare({none, none});
    EXPECT_EQ(equal.difference.value, 0.0);
    EXPECT_GT(*equal.difference.interval.high, 0.03);
}

TEST(LateCounts, CountLostAnswers)
{
    const Runs runs {{{20, 31, 30, 45}, 2}, {{}, 0}};
    const auto counts = lateCounts(runs, 30.0);
    EXPECT_EQ(counts[0], (Count {4, 6}));
    EXPECT_EQ(counts[1], (Count {0, 0}));
}

TEST(VerdictWord, IsTheContracts)
{
    EXPECT_EQ(verdictWord(Verdict::ALess, ComparedFigure::Shift), "a-faster");
    EXPECT_EQ(verdictWord(Verdict::BLess, ComparedFigure::Shift), "b-faster");
    EXPECT_EQ(verdictWord(Verdict::ALess, ComparedFigure::Spread), "a-steadier");
    EXPECT_EQ(verdictWord(Verdict::BLess, ComparedFigure::Spread), "b-steadier");
    EXPECT_EQ(verdictWord(Verdict::ALess, ComparedFigure::LateShare), "a-less-late");
    EXPECT_EQ(verdictWord(Verdict::SameWithin, ComparedFigure::Shift), "same-within");
    EXPECT_EQ(verdictWord(Verdict::Undecided, ComparedFigure::Spread), "undecided");
}

} // namespace
} // namespace twinlamp::stats
