// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/estimate.h"

#include <optional>
#include <span>

namespace twinlamp::stats {

/// A figure that the goggle displays about itself, and the measured one, of the same press or
/// setting; both in ms (or both in another unit).
struct ReadoutPair
{
    double readout = 0.0;
    double measured = 0.0;
};

struct Agreement
{
    std::size_t pairs = 0;
    Estimate bias; ///< mean of readout less measured, t interval
    double sd = 0.0; ///< of the differences, n - 1
    /// Limits of agreement, bias -/+ multiplier * sd: 95 % of differences lie between them where
    /// they are normal and do not grow with the latency. Each with an interval.
    Estimate lowerLimit;
    Estimate upperLimit;
    /// Slope of the differences over the means of readout and measured: 0 where the bias is the
    /// same at all latencies. Empty where all means are equal, or with fewer than 3 pairs.
    std::optional<Estimate> proportionalBias;
    std::optional<double>
        proportionalPValue; ///< of a slope of 0, two-sided t; empty like the slope
    bool operator==(const Agreement&) const = default;
};

struct AgreementOptions
{
    double confidence = usualConfidence; ///< of the intervals
    /// Standard deviations from the bias to a limit; 1.96 and 2 are in use.
    double multiplier = 1.959963984540054;
};

/// How far readout and measured agree.
///
/// The standard error of a limit is sd sqrt(1/n + multiplier^2 / (2 (n - 1))) (Bland & Altman
/// 1999); the paper of 1986 rounds that to sqrt(3 / n) sd. Pairs are taken as independent. Where
/// readout and measured scatter unequally about the truth, the slope over their means is not 0
/// without any proportional bias; it is a hint, and the report says so.
///
/// @return Nothing below 2 pairs.
/// @pre confidence in (0, 1), multiplier > 0
/// Source: J. M. Bland, D. G. Altman (1986), The Lancet i, 307-310, and (1999), Statistical Methods
///         in Medical Research 8, 135-160 (from memory; figures 2nd hand, see the test).
/// Tests:  tests/core/stats/agreement/bland_altman_test.cpp
[[nodiscard]] std::optional<Agreement> agreement(
    std::span<const ReadoutPair> pairs, const AgreementOptions& options = {});

} // namespace twinlamp::stats
