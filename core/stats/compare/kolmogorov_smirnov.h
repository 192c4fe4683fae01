// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/estimate.h"

#include <optional>

namespace twinlamp::stats {

struct KolmogorovSmirnov
{
    double distance = 0.0; ///< largest distance of the two empirical distributions, 0 to 1
    double pValue = 1.0;
    bool isExact = false;
    bool operator==(const KolmogorovSmirnov&) const = default;
};

/// The p-value is exact where the product of the counts is below this.
inline constexpr std::size_t mostPairsForExactDistance = 10'000;

/// Whether two samples come from one distribution, whatever its shape.
///
/// Exact: the share of the orders of the pooled values, conditional on their ties, that lie as far
/// apart. Else the limit of Kolmogorov, Q(D sqrt(m n / (m + n))).
///
/// @return Nothing where a sample is empty.
/// Cost:   exact: product of the counts.
/// Source: G. Schroer, D. Trenkler (1995), Computational Statistics & Data Analysis 20, 185-202
///         (from memory), as in R ks.test.
/// Tests:  tests/core/stats/compare/kolmogorov_smirnov_test.cpp
[[nodiscard]] std::optional<KolmogorovSmirnov> kolmogorovSmirnov(const TwoSamples& samples);

/// P(K > x) of Kolmogorov's limit distribution: 2 sum over k of (-1)^(k - 1) exp(-2 k^2 x^2).
[[nodiscard]] double kolmogorovAbove(double x);

} // namespace twinlamp::stats
