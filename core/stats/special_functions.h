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

} // namespace twinlamp::stats
