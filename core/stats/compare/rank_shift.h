// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/estimate.h"

#include <cstdint>
#include <optional>

namespace twinlamp::stats {

struct MannWhitney
{
    double u = 0.0; ///< pairs with x > y, and half of the equal ones
    double pValue = 1.0; ///< two-sided
    bool isExact = false; ///< else normal, with tie and continuity correction
    bool operator==(const MannWhitney&) const = default;
};

/// Most values in both samples together for which the p-value is exact.
inline constexpr std::size_t mostForExactRanks = 60;

/// Whether one of two samples tends to larger values.
///
/// Exact: over all ways to deal the pooled ranks out, ties and all (conditional on them); two-sided
/// is the chance of a U at least as far from its mean. Larger samples: normal.
///
/// @return Nothing where a sample is empty.
/// Cost:   exact: cubic in the values; else n log n.
/// Source: H. B. Mann, D. R. Whitney (1947), Annals of Mathematical Statistics 18, 50-60 (from
///         memory); figures by R wilcox.test and exactRankTests.
/// Tests:  tests/core/stats/compare/rank_shift_test.cpp
[[nodiscard]] std::optional<MannWhitney> mannWhitney(const TwoSamples& samples);

/// The p-value by the normal distribution, corrected for ties.
/// @pre neither sample empty
[[nodiscard]] double mannWhitneyNormal(const TwoSamples& samples, bool continuityCorrection = true);

/// The exact p-value, conditional on the ties.
/// @pre neither sample empty; no more than mostForExactRanks values in both
[[nodiscard]] double mannWhitneyExact(const TwoSamples& samples);

/// Median of all differences x - y: by how much x lies above y. Its interval is distribution-free
/// for samples of one shape: the differences at the ranks that U's null distribution (without ties)
/// gives, exact up to mostForExactRanks values, normal beyond.
///
/// @return Nothing where a sample is empty; an interval without ends where not even the extreme
///         differences reach the confidence (3 and 3 values at 95 %).
/// @pre confidence in (0, 1)
/// Cost:   n log n and no table of the differences.
/// Source: J. L. Hodges, E. L. Lehmann (1963), Annals of Mathematical Statistics 34, 598-611 (from
///         memory).
/// Tests:  tests/core/stats/compare/rank_shift_test.cpp
[[nodiscard]] std::optional<Estimate> hodgesLehmannShift(
    const TwoSamples& samples, double confidence = usualConfidence);

/// How far two samples overlap.
struct Superiority
{
    std::int64_t wins = 0; ///< pairs with x > y
    std::int64_t losses = 0; ///< pairs with x < y
    std::int64_t ties = 0;
    double chance = 0.5; ///< that an x lies above a y, ties shared out
    Estimate delta; ///< Cliff's delta, (wins - losses) / pairs: -1 to 1
    double deltaVariance = 0.0; ///< unbiased; 0 where the samples do not overlap
    bool operator==(const Superiority&) const = default;
};

/// Cliff's delta and the chance of superiority. The interval is Cliff's asymmetric one with the
/// unbiased variance and Student's t of m + n - 2 degrees of freedom; it has no ends where the
/// samples do not overlap (the variance is then 0, and says nothing) or one has a single value.
///
/// @return Nothing where a sample is empty.
/// Source: N. Cliff, Ordinal Methods for Behavioral Data Analysis (1996) (from memory); figures by
///         the R package effsize.
/// Tests:  tests/core/stats/compare/rank_shift_test.cpp
[[nodiscard]] std::optional<Superiority> superiority(
    const TwoSamples& samples, double confidence = usualConfidence);

} // namespace twinlamp::stats
