// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <span>

namespace twinlamp::stats {

/// Sorted values, and how many more there are that are known only to be larger than all of them:
/// lost answers count as later than any limit.
struct OrderedSample
{
    std::span<const double> sorted; ///< ascending
    std::int64_t lost = 0;

    [[nodiscard]] std::int64_t count() const
    {
        return static_cast<std::int64_t>(sorted.size()) + lost;
    }
};

/// Quantile of type 7 of R. J. Hyndman and Y. Fan (1996), The American Statistician 50, 361-365:
/// h = (N - 1) p, between the order statistics floor(h) and floor(h) + 1 counted from 0, by linear
/// interpolation. N counts the lost ones too.
///
/// Type 7 because it is the rule of the common statistics and spreadsheet programs, so that a
/// reader can check the figure; it needs no values outside the sample.
///
/// @param share  0 to 1
/// @return In the unit of the values. Nothing for an empty sample, and nothing where the quantile
///         needs a lost value.
/// Tests: tests/core/stats/quantile_test.cpp
[[nodiscard]] std::optional<double> quantileType7(const OrderedSample& sample, double share);
[[nodiscard]] std::optional<double> quantileType7(std::span<const double> sorted, double share);

} // namespace twinlamp::stats
