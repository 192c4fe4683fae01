// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/base/sentence.h"
#include "core/stats/interval.h"

#include <cstdint>
#include <vector>

namespace twinlamp::stats {

/// How many presses a claim needs. Presses are entries of one edge kind.
struct Plan
{
    std::int64_t presses = 0;
    double reached = 0.0; ///< confidence or power at that count; which one, the function says
    std::vector<Sentence> assumptions;
    bool operator==(const Plan&) const = default;
};

/// No plan asks for more presses than this: past it the values asked for are off.
inline constexpr std::int64_t mostPlannedPresses = 10'000'000;

/// "At most `share` of all presses are late."
struct LateClaim
{
    double share = 0.05; ///< 0 to 1, both excluded
    double confidence = usualConfidence; ///< 0 to 1, both excluded
    std::int64_t seen = 0; ///< late ones that may turn up among the presses
};

/// Fewest presses n so that having seen `seen` late ones the claim holds with the confidence:
/// P(Bin(n, share) <= seen) <= 1 - confidence, which is a one-sided Clopper-Pearson upper limit no
/// larger than `share`.
///
/// @return reached: the confidence at that count, 1 - P(Bin(n, share) <= seen).
/// @error  Stats/InvalidValue  a value out of its bounds, or a claim that needs more than
///         mostPlannedPresses.
/// Source: C. J. Clopper, E. S. Pearson (1934), Biometrika 26, 404-413.
/// Tests:  tests/core/stats/plan/counted_plan_test.cpp
[[nodiscard]] Result<Plan> latePlan(const LateClaim& claim);

/// Limits between which `coverage` of all latencies lie: the extremes of the presses.
struct LimitsClaim
{
    double coverage = 0.95; ///< 0 to 1, both excluded
    double confidence = usualConfidence; ///< 0 to 1, both excluded
    /// Extremes used up: 1, the largest press as upper limit; 2, the smallest and the largest as
    /// two limits. More: so many less one extremes are discarded first.
    std::int64_t extremes = 1;
};

/// Confidence that so many presses bound the share `coverage`, for any continuous distribution:
/// P(Bin(presses, coverage) <= presses - extremes).
/// @pre presses >= 0, extremes >= 1, coverage in (0, 1)
[[nodiscard]] double limitsConfidence(
    std::int64_t presses, double coverage, std::int64_t extremes = 1);

/// Share of all latencies that the limits of so many presses hold with the given confidence.
/// @return 0 where there are fewer presses than extremes.
[[nodiscard]] double limitsCoverage(
    std::int64_t presses, double confidence = usualConfidence, std::int64_t extremes = 1);

/// Fewest presses so that their extremes bound `coverage` of all latencies with the confidence.
///
/// @return reached: `limitsConfidence` at that count.
/// @error  as latePlan
/// Source: S. S. Wilks (1941), Annals of Mathematical Statistics 12, 91-96; ISO 16269-6 (both from
///         memory).
/// Tests:  tests/core/stats/plan/counted_plan_test.cpp
[[nodiscard]] Result<Plan> limitsPlan(const LimitsClaim& claim);

/// What a width is asked for.
enum class Centre : std::uint8_t
{
    Mean,
    Median
};

/// An interval of the mean or the median that reaches no further than `halfWidthMs` to each side.
struct WidthClaim
{
    double sdMs = 0.0; ///< standard deviation of the latencies, > 0
    double halfWidthMs = 0.0; ///< > 0
    double confidence = usualConfidence;
    Centre of = Centre::Mean;
};

/// Fewest presses for such an interval.
///
/// Mean: the smallest n >= 2 with t(n - 1) sd / sqrt(n) <= half width. Median: large-sample width
/// of the distribution-free interval, z K sd / sqrt(n), with K = sqrt(pi / 2) of a normal shape;
/// the assumptions tell the count for a flat shape too (K = sqrt(3)), which is what the sampling
/// phase alone makes of latencies. Never fewer presses than that interval takes (6 at 95 %).
///
/// @return reached: the confidence at which an interval of that many presses has the half width.
/// @error  as latePlan
/// Source: standard error of a quantile, sqrt(p (1 - p)) / (f sqrt(n)) (from memory)
/// Tests:  tests/core/stats/plan/measured_plan_test.cpp
[[nodiscard]] Result<Plan> widthPlan(const WidthClaim& claim);

/// Two settings whose mean latencies differ by `differenceMs` are to be told apart.
struct DifferenceClaim
{
    double sdMs = 0.0; ///< standard deviation within each setting, > 0
    double differenceMs = 0.0; ///< > 0
    double power = 0.8; ///< chance to tell them apart; confidence's error to 1, excluded
    double confidence = usualConfidence;
};

/// Chance that a two-sided t test on `presses` of each of two settings tells them apart; real
/// counts are allowed.
/// @pre presses > 1, sdMs > 0
[[nodiscard]] double differencePower(double presses, const DifferenceClaim& claim);

/// Fewest presses per setting.
///
/// @return presses: of each setting; reached: the power at that count (noncentral t, both tails).
/// @error  as latePlan
/// Source: J. Cohen (1988), Statistical Power Analysis, ch. 2 (from memory).
/// Tests:  tests/core/stats/plan/measured_plan_test.cpp
[[nodiscard]] Result<Plan> differencePlan(const DifferenceClaim& claim);

} // namespace twinlamp::stats
