// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>

namespace twinlamp::stats {

/// P(X <= successes) of X binomial over `trials` with chance `share`.
/// Through the incomplete beta function (Boost.Math): no sum over the terms, so it costs the same
/// at any count. Returns 0 below 0 successes and 1 from `trials` on.
/// @pre trials >= 0, share in [0, 1]
[[nodiscard]] double binomialAtMost(std::int64_t successes, std::int64_t trials, double share);

/// Value that a beta variable with parameters a and b stays below with the given probability.
/// @pre a > 0, b > 0, probability in [0, 1]
[[nodiscard]] double betaQuantile(double a, double b, double probability);

/// Value that a chi-square variable stays below with the given probability. Real degrees of
/// freedom are allowed (Satterthwaite).
/// @pre degrees > 0, probability in (0, 1)
[[nodiscard]] double chiSquareQuantile(double degrees, double probability);

/// Value that a variable of Student's t distribution stays below with the given probability. Real
/// degrees of freedom are allowed (Satterthwaite).
/// @pre degrees > 0, probability in (0, 1)
[[nodiscard]] double studentQuantile(double degrees, double probability);

/// Value that a standard normal variable stays below with the given probability.
/// @pre probability in (0, 1)
[[nodiscard]] double normalQuantile(double probability);

/// P(Z > z) of a standard normal Z.
[[nodiscard]] double normalAbove(double z);

/// P(|Z| >= |z|) of a standard normal Z: the two-sided p-value.
[[nodiscard]] double normalBeyond(double z);

/// P(|T| >= |t|) of Student's t distribution: the two-sided p-value. Real degrees of freedom are
/// allowed.
/// @pre degrees > 0
[[nodiscard]] double studentBeyond(double degrees, double t);

/// P(X > x) of a chi-square variable; 1 for x <= 0.
/// @pre degrees > 0
[[nodiscard]] double chiSquareAbove(double degrees, double x);

/// Degrees of freedom of a ratio of two mean squares.
struct RatioDegrees
{
    double numerator = 1.0;
    double denominator = 1.0;
};

/// P(X > ratio) of an F variable; 1 for ratio <= 0.
/// @pre both degrees > 0
[[nodiscard]] double fAbove(RatioDegrees degrees, double ratio);

/// P(|T| > limit) of a noncentral t variable: the power of a two-sided t test whose statistic has
/// this offset, both tails.
/// @pre degrees > 0, limit > 0
[[nodiscard]] double noncentralStudentBeyond(double degrees, double offset, double limit);

} // namespace twinlamp::stats
