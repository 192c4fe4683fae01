// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/estimate.h"

#include <optional>

namespace twinlamp::stats {

struct WelchTest
{
    Estimate difference; ///< mean(x) - mean(y)
    double standardError = 0.0;
    double degrees = 0.0; ///< Satterthwaite; real
    double t = 0.0;
    double pValue = 1.0; ///< two-sided
    bool operator==(const WelchTest&) const = default;
};

/// Difference of two means with variances of their own.
///
/// @param commonVariance  squared standard uncertainty, in the unit squared, that stands between
/// the
///        samples besides their scatter (two rigs); it enters with unlimited degrees of freedom
/// @return Nothing where a sample has fewer than 2 values, or where nothing varies.
/// @pre commonVariance >= 0, confidence in (0, 1)
/// Source: B. L. Welch (1947), Biometrika 34, 28-35 (from memory); figures by R t.test.
/// Tests:  tests/core/stats/compare/welch_test.cpp
[[nodiscard]] std::optional<WelchTest> welchTest(
    const TwoSamples& samples, double confidence = usualConfidence, double commonVariance = 0.0);

} // namespace twinlamp::stats
