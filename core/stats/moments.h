// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>

namespace twinlamp::stats {

/// Arithmetic mean, in the unit of the values; nothing of no values. Kept exact to the last places
/// by a second pass over the deviations.
/// Tests: NIST StRD certified values, tests/core/stats/moments_test.cpp.
[[nodiscard]] std::optional<double> mean(std::span<const double> values);

/// Sum of squared deviations from the mean, two passes with the correction for the rounded mean
/// (T. F. Chan, G. H. Golub, R. J. LeVeque 1983, The American Statistician 37, 242-247, from
/// memory). The one-pass difference of sums goes negative where the values are large.
[[nodiscard]] double sumOfSquaredDeviations(std::span<const double> values);

/// Standard deviation with n - 1, in the unit of the values; nothing of fewer than 2.
[[nodiscard]] std::optional<double> standardDeviation(std::span<const double> values);

} // namespace twinlamp::stats
