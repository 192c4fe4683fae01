// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/interval.h"
#include "core/stats/quantile.h"

#include <cstdint>
#include <optional>

namespace twinlamp::stats {

/// Ranks, counted from 1, of the order statistics that bound a quantile.
struct OrderRanks
{
    std::optional<std::int64_t> lower;
    std::optional<std::int64_t> upper;
    bool operator==(const OrderRanks&) const = default;
};

/// Ranks of the two-sided interval with equal tails that holds the quantile of any continuous
/// distribution with at least the given confidence.
///
/// Lower: the largest rank l with P(Bin(count, share) <= l - 1) <= alpha / 2. Upper: the smallest
/// rank u with P(Bin(count, share) >= u) <= alpha / 2, that is 1 - P(Bin <= u - 1). A rank is empty
/// where none does it: for the median below 6 values, for the 95 % quantile below 72.
///
/// @pre share in (0, 1), confidence in (0, 1)
/// Cost:   logarithmic in count.
/// Source: H. A. David and H. N. Nagaraja, Order Statistics, section 7.1 (from memory).
/// Tests:  tests/core/stats/order_statistics_test.cpp
[[nodiscard]] OrderRanks orderStatisticRanks(
    std::int64_t count, double share, double confidence = usualConfidence);

/// Rank of the upper one-sided limit: the smallest u with P(Bin(count, share) <= u - 1) >=
/// confidence. Empty where even the largest value falls short.
/// @pre as orderStatisticRanks
[[nodiscard]] std::optional<std::int64_t> upperLimitRank(
    std::int64_t count, double share, double confidence = usualConfidence);

/// Rank of the lower one-sided limit: the largest l with P(Bin(count, share) >= l) >= confidence.
/// Empty where even the smallest value falls short.
/// @pre as orderStatisticRanks
[[nodiscard]] std::optional<std::int64_t> lowerLimitRank(
    std::int64_t count, double share, double confidence = usualConfidence);

/// Fewest values for which both ranks of `orderStatisticRanks` exist: "needs 72 presses" for the 95
/// % quantile.
/// @pre share in (0, 1), confidence in (0, 1)
[[nodiscard]] std::int64_t fewestForInterval(double share, double confidence = usualConfidence);

/// P(the interval of these ranks holds the quantile); an empty rank counts as unbounded.
[[nodiscard]] double coverageOf(const OrderRanks& ranks, std::int64_t count, double share);

/// Distribution-free interval of a quantile, in the unit of the values; independent values. An end
/// is empty where there is no such rank or where it falls among the lost ones.
[[nodiscard]] Interval quantileInterval(
    const OrderedSample& sample, double share, double confidence = usualConfidence);

/// A quantile as a report states it.
struct QuantileFigure
{
    double share = 0.5;
    std::optional<double> estimate; ///< type 7; empty where it falls among the lost ones
    Interval interval; ///< distribution-free; an end is empty as in quantileInterval
    /// Set where the interval lacks an end because there are too few values: so many it needs.
    std::optional<std::int64_t> needs;
    bool operator==(const QuantileFigure&) const = default;
};

/// Quantile, its interval, and how many values that interval needs where there are too few.
[[nodiscard]] QuantileFigure quantileFigure(
    const OrderedSample& sample, double share, double confidence = usualConfidence);

} // namespace twinlamp::stats
