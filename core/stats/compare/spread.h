// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/bootstrap.h"
#include "core/stats/estimate.h"

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace twinlamp::stats {

/// Where the deviations of a group are taken from.
enum class DeviationsFrom : std::uint8_t
{
    Median, ///< Brown and Forsythe: keeps its level for skewed latencies
    Mean ///< Levene
};

/// An F test.
struct VarianceTest
{
    double statistic = 0.0;
    double groupDegrees = 0.0;
    double restDegrees = 0.0;
    double pValue = 1.0;
    bool operator==(const VarianceTest&) const = default;
};

/// Whether groups are spread alike: analysis of variance of the absolute deviations.
///
/// @param groups  2 or more
/// @return Nothing where a group has fewer than 2 values, or where no deviation varies.
/// @pre groups.size() >= 2
/// Source: M. B. Brown, A. B. Forsythe (1974), Journal of the American Statistical Association 69,
///         364-367 (from memory); figures by R car leveneTest and SciPy levene.
/// Tests:  tests/core/stats/compare/spread_test.cpp
[[nodiscard]] std::optional<VarianceTest> equalSpreadTest(
    std::span<const std::vector<double>> groups, DeviationsFrom from = DeviationsFrom::Median);

/// Mean absolute deviation from the median, in the unit of the values.
/// @return Nothing of no values.
[[nodiscard]] std::optional<double> meanAbsoluteDeviation(std::span<const double> values);

/// Mean absolute deviation from the median, y over x, with a BCa bootstrap interval (values
/// resampled within each sample; the logarithm of the ratio is what is bootstrapped). A sample of
/// more than mostForSpreadBootstrap values is not resampled: its replicates are drawn from the
/// normal distribution of its large-sample standard error, which they would show anyway.
///
/// @return Nothing where a sample has fewer than 2 values or does not vary, or where the plan was
///         stopped; no ends below fewestForSpreadRatio values in a sample.
/// @pre plan.confidence in (0, 1)
/// Source: standard error: D. G. Bonett, E. Seier (2003), The American Statistician 57, 233-236
///         (from memory).
/// Tests:  tests/core/stats/compare/spread_test.cpp
[[nodiscard]] std::optional<Estimate> spreadRatio(
    const TwoSamples& samples, const BootstrapPlan& plan = {});

inline constexpr std::size_t fewestForSpreadRatio = 8;
/// 10 000 replicates of two such samples take a quarter of a second (stats_bench).
inline constexpr std::size_t mostForSpreadBootstrap = 1000;

} // namespace twinlamp::stats
