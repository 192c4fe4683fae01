// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <span>

namespace twinlamp::stats {

struct MannKendall
{
    std::int64_t s = 0; ///< rising pairs less falling ones
    double variance = 0.0; ///< of s, corrected for ties
    double z = 0.0; ///< (s -/+ 1) / sqrt(variance); 0 where all values are equal
    double pValue = 1.0; ///< two-sided: exact where `isExact`, else by z
    bool isExact = false;
    double tau = 0.0; ///< tau-b: corrected for ties, -1 to 1
    bool operator==(const MannKendall&) const = default;
};

/// Most values for which the p-value is exact; ties rule it out too.
inline constexpr std::size_t mostForExactKendall = 50;

/// Whether values rise or fall over their order: Mann-Kendall test with the tie correction of the
/// variance and the continuity correction of z. Values are taken as independent.
///
/// @param values  in the order of time
/// @return Nothing below 4 values: no order of three is rare.
/// Cost:   n log n; cubic where exact.
/// Source: M. G. Kendall, Rank Correlation Methods (1975) (from memory); formulas and figures of
///         the test file, from R and the EnvStats help.
/// Tests:  tests/core/stats/trend/mann_kendall_test.cpp
[[nodiscard]] std::optional<MannKendall> mannKendall(std::span<const double> values);

/// P(S <= s) of Kendall's S over `count` values without ties.
/// @pre count >= 1
[[nodiscard]] double kendallAtMost(std::int64_t s, std::size_t count);

} // namespace twinlamp::stats
