// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace twinlamp::stats {

/// A value far from the others: named, never dropped.
struct Outlier
{
    std::size_t index = 0; ///< in the values given
    double score = 0.0; ///< 0.6745 (value - median) / MAD; its sign tells the side
    bool operator==(const Outlier&) const = default;
};

/// Scores beyond this are outliers.
inline constexpr double outlierScore = 3.5;

/// Median of the absolute deviations from the median, not scaled, in the unit of the values.
/// @return Nothing of no values.
[[nodiscard]] std::optional<double> medianAbsoluteDeviation(std::span<const double> values);

/// Values whose score 0.6745 (value - median) / MAD lies beyond +-3.5, in the order given.
/// Latencies spread evenly by the sampling phase reach +-1.35, so the phase alone makes no outlier.
///
/// Where more than half of the values are equal (MAD 0) the mean absolute deviation takes its
/// place: (value - median) / (1.2533 mean |value - median|).
///
/// Source: B. Iglewicz, D. C. Hoaglin (1993), How to Detect and Handle Outliers (from memory)
/// Tests:  tests/core/stats/trend/outliers_test.cpp
[[nodiscard]] std::vector<Outlier> outliers(std::span<const double> values);

/// The score of each value, in the order given; all 0 where all values are equal.
[[nodiscard]] std::vector<double> outlierScores(std::span<const double> values);

} // namespace twinlamp::stats
