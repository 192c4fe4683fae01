// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>

namespace twinlamp::stats {

/// `hits` of `trials`.
struct Count
{
    std::int64_t hits = 0;
    std::int64_t trials = 0;
    bool operator==(const Count&) const = default;
};

/// Both ends, 0 to 1.
struct ShareInterval
{
    double low = 0.0;
    double high = 1.0;
    bool operator==(const ShareInterval&) const = default;
};

/// Two-sided interval of a share by C. J. Clopper and E. S. Pearson (1934), Biometrika 26, 404-413:
/// equal tails, from the beta distribution. It is the exact interval, never short of its confidence
/// (and so on the wide side): "at most x % late" is claimed with it, and it agrees with the number
/// of presses that such a claim needs.
///
/// @return [0, 1] for no trials.
/// @pre 0 <= hits <= trials, confidence in (0, 1)
/// Tests: tests/core/stats/proportion_test.cpp
[[nodiscard]] ShareInterval clopperPearson(Count count, double confidence = 0.95);

/// Largest share that so many trials may miss altogether: with a share any larger, at least one hit
/// turns up with the given confidence. 1 - (1 - confidence)^(1 / trials), close to 3 / trials at 95
/// %.
/// @return 1 for no trials.
/// @pre trials >= 0, confidence in (0, 1)
[[nodiscard]] double largestMissedShare(std::int64_t trials, double confidence = 0.95);

/// Two-sided score interval of a share by E. B. Wilson (1927), without continuity correction:
/// closer to its confidence on average than the exact one, and short of it at some shares.
/// Newcombe's interval of a difference is made of two of them.
///
/// @return [0, 1] for no trials.
/// @pre as clopperPearson
[[nodiscard]] ShareInterval wilson(Count count, double confidence = 0.95);

/// Difference of two shares, first less second; -1 to 1.
struct ShareDifference
{
    double estimate = 0.0;
    double low = -1.0;
    double high = 1.0;
    bool operator==(const ShareDifference&) const = default;
};

/// Hybrid score interval: R. G. Newcombe (1998), Statistics in Medicine 17, 873-890, method 10.
/// Trials count as independent.
///
/// @return Estimate 0 and [-1, 1] where one has no trials.
/// @pre as clopperPearson
[[nodiscard]] ShareDifference newcombeDifference(
    Count first, Count second, double confidence = 0.95);

/// A share of so many trials; they need not be a whole number (trials that depend on each other
/// count for fewer).
struct RealShare
{
    double share = 0.0; ///< 0 to 1
    double trials = 0.0; ///< > 0
};

/// newcombeDifference with any quantile in the place of the normal one.
[[nodiscard]] ShareDifference newcombeOf(RealShare first, RealShare second, double quantile);

/// The quantile at which that interval ends at 0: what lies beyond it, on both sides, is the
/// p-value. 0 for equal shares.
[[nodiscard]] double quantileAtZero(RealShare first, RealShare second);

/// The two-sided p-value that belongs to it: the error, 1 - confidence, at which the interval ends
/// at 0. 1 for equal shares or where one has no trials.
[[nodiscard]] double newcombePValue(Count first, Count second);

} // namespace twinlamp::stats
