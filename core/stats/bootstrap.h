// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/interval.h"
#include "core/stats/random_index.h"

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <stop_token>
#include <vector>

namespace twinlamp::stats {

struct BootstrapPlan
{
    std::size_t replicates = usualReplicates; ///< > 0
    std::uint64_t seed = usualSeed;
    double confidence = usualConfidence;
    std::stop_token stop {}; ///< asked between replicates; what was stopped gives no interval
};

/// Levels of the replicates that a BCa interval reads off.
struct BcaLevels
{
    double low = 0.0;
    double high = 1.0;
};

/// Phi(z0 + (z0 + z) / (1 - a (z0 + z))) for the two ends.
/// @param bias          z0
/// @param acceleration  a
/// @pre confidence in (0, 1)
/// Source: B. Efron (1987), Journal of the American Statistical Association 82, 171-185 (from
///         memory; the formula as SciPy states it).
/// Tests:  tests/core/stats/bootstrap_test.cpp
[[nodiscard]] BcaLevels bcaLevels(double bias, double acceleration, double confidence);

/// z0: the normal quantile of the share of replicates below the estimate, half of the equal ones
/// counted. Nothing where all replicates lie on one side.
[[nodiscard]] std::optional<double> bootstrapBias(
    std::span<const double> sortedReplicates, double estimate);

/// a of one sample or of several: from the estimates with one value left out, a list a sample.
/// One sample: sum d^3 / (6 (sum d^2)^1.5), d the distance of an estimate below their mean.
/// Several: d (n - 1) / n in the place of d.
/// @return 0 where nothing varies.
[[nodiscard]] double jackknifeAcceleration(std::span<const std::vector<double>> leftOut);

/// Interval of an estimate from its replicates and the estimates with one value left out.
/// @return No ends where all replicates lie on one side of the estimate, or any is not finite.
[[nodiscard]] Interval bcaInterval(std::vector<double> replicates, double estimate,
    std::span<const std::vector<double>> leftOut, double confidence);

/// Interval read off at alpha / 2 and 1 - alpha / 2.
[[nodiscard]] Interval percentileInterval(std::vector<double> replicates, double confidence);

} // namespace twinlamp::stats
