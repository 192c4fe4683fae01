// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <span>

namespace twinlamp::stats {

/// What becomes of values that equal the median.
enum class MedianValues : std::uint8_t
{
    Above, ///< they count as above
    Dropped
};

struct RunsTest
{
    std::int64_t above = 0;
    std::int64_t below = 0;
    std::int64_t runs = 0; ///< stretches on one side of the median
    double expected = 0.0;
    double variance = 0.0;
    double z = 0.0; ///< no continuity correction; below 0: fewer stretches than chance gives
    double pValue = 1.0; ///< two-sided, normal
    bool operator==(const RunsTest&) const = default;
};

/// Fewest values on each side of the median for which the normal p-value serves.
inline constexpr std::int64_t fewestForRunsTest = 8;

/// Whether values fall above and below their median in random order. "Runs" are the test's
/// stretches, not the runs of a session.
///
/// @param values  in the order of time, of one run of the session
/// @return Nothing with fewer than fewestForRunsTest values on a side.
/// Source: A. Wald, J. Wolfowitz (1940), Annals of Mathematical Statistics 11, 147-162 (from
///         memory); form as in R tseries runs.test.
/// Tests:  tests/core/stats/trend/independence_test.cpp
[[nodiscard]] std::optional<RunsTest> runsTest(
    std::span<const double> values, MedianValues medianValues = MedianValues::Above);

struct Autocorrelation
{
    double r = 0.0; ///< lag 1
    double band = 0.0; ///< 95 % of white noise lies within +- band, z / sqrt(n)
    double ljungBox = 0.0;
    double pValue = 1.0; ///< of ljungBox, chi-square with 1 degree of freedom
    bool operator==(const Autocorrelation&) const = default;
};

/// Correlation of neighbours, sum (y_i - m)(y_i+1 - m) / sum (y_i - m)^2, as NIST defines it.
///
/// @param values  in the order of time
/// @return Nothing below 3 values or where all are equal.
/// Source: G. M. Ljung, G. E. P. Box (1978), Biometrika 65, 297-303 (from memory).
/// Tests:  tests/core/stats/trend/independence_test.cpp
[[nodiscard]] std::optional<Autocorrelation> lagOneAutocorrelation(std::span<const double> values);

} // namespace twinlamp::stats
