// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/sentence.h"
#include "core/stats/estimate.h"
#include "core/stats/plan/plan.h"
#include "core/stats/proportion.h"
#include "core/stats/random_index.h"
#include "core/stats/run_latencies.h"

#include <cstdint>
#include <optional>
#include <span>
#include <stop_token>
#include <string_view>
#include <vector>

namespace twinlamp::stats {

/// Settings A and B, each as its runs. Runs without presses are passed over.
struct TwoSettings
{
    std::span<const RunLatencies> a;
    std::span<const RunLatencies> b;
};

/// Fewer runs in a setting than this, and nothing is told apart.
inline constexpr std::int64_t fewestRuns = 3;

struct RunComparisonOptions
{
    Centre centre = Centre::Median; ///< of a run; medians let lost answers count as late
    double confidence = usualConfidence;
    /// Differences up to this, ms, are of no interest: adds the verdict SameWithin.
    std::optional<double> marginMs;
    /// Squared standard uncertainty, ms^2, that the two settings do not share because they were
    /// filmed with different rigs or rig checks.
    double rigVarianceMs2 = 0.0;
    std::size_t replicates = usualReplicates; ///< of the block bootstrap; 0: none
    std::uint64_t seed = usualSeed;
    bool planNeeded = true; ///< work out the runs that would tell, where undecided
    /// Ends the bootstrap early, which then has no ends: a stopped comparison is good for nothing.
    std::stop_token stop {};
};

struct RunCentres;

enum class Verdict : std::uint8_t
{
    Undecided,
    ALess, ///< A is faster, steadier, or less often late
    BLess,
    SameWithin ///< the difference lies within the margin
};

/// Runs and presses, of each setting, that would tell the difference seen with a power of 80 %.
struct NeededRuns
{
    std::int64_t runs = 0;
    std::int64_t presses = 0;
    bool operator==(const NeededRuns&) const = default;
};

/// One figure of two settings, with runs as the blocks.
struct RunComparison
{
    /// What the function says; its interval is Student's t over runs, with the degrees of freedom
    /// of Welch. Without ends below fewestRuns.
    Estimate difference;
    std::optional<double> pValue; ///< two-sided: where the interval just ends at no difference
    /// Of the two one-sided tests behind SameWithin: the larger one. With a margin only.
    std::optional<double> samePValue;
    double degrees = 0.0;
    /// Percentiles over runs resampled whole. Too narrow with few runs: stands beside, decides
    /// nothing.
    Interval bootstrap;
    std::int64_t runsA = 0; ///< that gave the figure
    std::int64_t runsB = 0;
    Verdict verdict = Verdict::Undecided;
    /// Why undecided: ids compare-few-runs, compare-run-lost, compare-not-told, compare-no-spread.
    std::optional<Sentence> reason;
    std::optional<NeededRuns> needed; ///< where undecided and the data can tell
    bool operator==(const RunComparison&) const = default;
};

/// Shift of the latencies, B less A, ms: the difference of the means of the runs' centres.
///
/// The t interval over run centres keeps its level however the clocks are locked, because a run's
/// unknown offset is part of the scatter of its centre. That scatter is not taken smaller than a
/// quarter of what the scatter within the runs explains by itself, nor the variance of the
/// difference smaller than that of the pooled scatter (which matters for unequal numbers of runs).
/// SameWithin: both one-sided t tests at 1 - confidence put the shift inside +-margin; it goes
/// before a difference of no interest.
///
/// @pre confidence in (0, 1), rigVarianceMs2 >= 0
/// Source: B. L. Welch (1947), Biometrika 34, 28-35; two one-sided tests: D. J. Schuirmann (1987),
///         Journal of Pharmacokinetics and Biopharmaceutics 15, 657-680 (both from memory).
/// Tests:  tests/core/stats/compare/run_comparison_test.cpp; the rate of false verdicts under
/// locked
///         and free clocks: run_simulation_test.cpp
[[nodiscard]] RunComparison compareShift(
    const TwoSettings& settings, const RunComparisonOptions& options = {});

/// compareShift of centres that were taken before: a ranking compares each setting with all others.
[[nodiscard]] RunComparison compareCentres(
    const RunCentres& a, const RunCentres& b, const RunComparisonOptions& options = {});

/// Spread, B over A: the ratio of the mean absolute deviations from the run's own median, each the
/// geometric mean over the setting's runs; t interval over their logarithms. Offsets between runs
/// are no part of it. The deviation of n presses is scaled by n / (n - 1), so that short runs do
/// not look steadier. Runs with fewer than fewestForRunSpread latencies, or without any deviation,
/// give no figure. The margin does not apply.
///
/// @pre as compareShift
[[nodiscard]] RunComparison compareSpread(
    const TwoSettings& settings, const RunComparisonOptions& options = {});

inline constexpr std::size_t fewestForRunSpread = 4;

/// Late presses by run: `hits` late or lost of `trials`.
struct TwoSettingCounts
{
    std::span<const Count> a;
    std::span<const Count> b;
};

/// Late share, B less A: of all presses. The interval is the widest one, end by end, of t over runs
/// (their shares weighted by presses), of Newcombe's for independent presses (a handful of runs
/// that happen to agree prove nothing) and of Newcombe's with presses counted for what they are
/// worth within runs (clustered_shares.h: where few runs are late as a whole, t alone held the
/// truth in 90 % only; with 3 runs it is 93 % even so). The p-value is the largest one of the
/// three. The margin does not apply.
///
/// @pre as compareShift; 0 <= hits <= trials in each
[[nodiscard]] RunComparison compareLateShare(
    const TwoSettingCounts& settings, const RunComparisonOptions& options = {});

/// Late and lost presses of each run, for compareLateShare.
[[nodiscard]] std::vector<Count> lateCounts(std::span<const RunLatencies> runs, double limitMs);

enum class ComparedFigure : std::uint8_t
{
    Shift,
    Spread,
    LateShare
};

/// "a-faster", "b-steadier", "a-less-late", "undecided", "same-within": as JSON writes it.
[[nodiscard]] std::string_view verdictWord(Verdict verdict, ComparedFigure figure);

} // namespace twinlamp::stats
