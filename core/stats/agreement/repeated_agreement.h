// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/agreement/bland_altman.h"

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace twinlamp::stats {

/// How far readout and measured agree where runs have several pairs: pairs of one run share an
/// offset, so runs are the blocks. Unit of the pairs.
struct RepeatedAgreement
{
    std::size_t runs = 0; ///< with a pair
    std::size_t pairs = 0;
    Estimate bias; ///< mean over runs of each run's mean difference, t interval over runs
    double betweenSd = 0.0; ///< of the runs' offsets; 0 where the scatter within explains it all
    double withinSd = 0.0; ///< of the differences within a run; 0 where no run has two pairs
    double totalSd = 0.0; ///< of the difference of one pair of a new run
    /// Limits of agreement, bias -/+ multiplier * totalSd. Each with an interval.
    Estimate lowerLimit;
    Estimate upperLimit;
    /// Slope of the differences over the means of readout and measured within the runs, where the
    /// runs' offsets are no part of it; t interval over runs. Empty below 3 runs whose pairs
    /// differ.
    std::optional<Estimate> proportionalBias;
    std::optional<double> proportionalPValue; ///< of a slope of 0, two-sided; empty like the slope
    bool operator==(const RepeatedAgreement&) const = default;
};

/// Limits of agreement from the components between and within runs, the measured latency varying
/// from pair to pair: with s_b^2 the variance of the runs' mean differences, s_w^2 the pooled one
/// within runs and m the harmonic mean of the pairs a run, the total variance is s_b^2 + (1 - 1/m)
/// s_w^2. Intervals by MOVER, from the t interval of the bias and the chi-square intervals of both
/// variances. One pair a run gives the limits of `agreement`.
///
/// @param runs  the pairs of each; runs without any are passed over
/// @return Nothing below 2 runs with a pair.
/// @pre as agreement
/// Source: J. M. Bland, D. G. Altman (2007), Journal of Biopharmaceutical Statistics 17, 571-582;
///         G. Y. Zou (2013), Statistical Methods in Medical Research 22, 630-642 (both from memory;
///         the formula of the intervals agrees with the R package SimplyAgree, which takes a normal
///         quantile where this takes t).
/// Tests:  tests/core/stats/agreement/repeated_agreement_test.cpp, coverage too
[[nodiscard]] std::optional<RepeatedAgreement> agreementByRuns(
    std::span<const std::vector<ReadoutPair>> runs, const AgreementOptions& options = {});

} // namespace twinlamp::stats
