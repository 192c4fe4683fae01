// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/interval.h"

#include <optional>
#include <span>

namespace twinlamp::stats {

/// Values over time (or over anything that rises).
struct Series
{
    std::span<const double> at; ///< such as ms of real time; any order, ties allowed
    std::span<const double> values; ///< as many as `at`
};

struct TheilSen
{
    double slope = 0.0; ///< unit of the values per unit of `at`
    double intercept = 0.0; ///< median of (value - slope * at)
    /// Of the slope. Empty below 5 values: then not even the smallest and the largest slope reach
    /// 95 %.
    Interval interval;
    bool operator==(const TheilSen&) const = default;
};

/// Longer series are thinned to every k-th value so that no more than this many remain: the slopes
/// of all pairs are sorted.
inline constexpr std::size_t mostForTheilSen = 1000;

/// Median of the slopes of all pairs, and the interval by the ranks of Kendall's S, variance
/// corrected for ties in `at` and in the values. Independent deviations are assumed; runs of one
/// setting belong into separate series or behind a caveat.
///
/// @return Nothing where all `at` are equal or there are fewer than 2 values.
/// @pre as many values as `at`; confidence in (0, 1)
/// Cost:   quadratic in the values.
/// Source: P. K. Sen (1968), Journal of the American Statistical Association 63, 1379-1389 (from
///         memory); ranks rounded as in SciPy's theilslopes.
/// Tests:  tests/core/stats/trend/theil_sen_test.cpp
[[nodiscard]] std::optional<TheilSen> theilSen(
    const Series& series, double confidence = usualConfidence);

} // namespace twinlamp::stats
