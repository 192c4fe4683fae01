// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/compare/run_comparison.h"

#include <vector>

namespace twinlamp::stats {

/// One setting as the figures of its runs.
struct RunBlocks
{
    std::vector<double> figures;
    /// Squared standard error of their mean that the scatter within the runs explains by itself.
    double withinVariance = 0.0;
    double pressesARun = 0.0;
};

/// t over two sets of blocks; second less first. Empty where a set has fewer than 2 blocks.
struct BlockTest
{
    double difference = 0.0;
    double standardError = 0.0;
    double degrees = 0.0;
    double figureSd = 0.0; ///< of one block's figure, both sets together
};

[[nodiscard]] std::optional<BlockTest> blockTest(
    const RunBlocks& first, const RunBlocks& second, double commonVariance);

/// Ends of the t interval at this confidence.
[[nodiscard]] Interval blockInterval(const BlockTest& test, double confidence);

/// Two-sided p-value; 0 or 1 where nothing varies.
[[nodiscard]] double blockPValue(const BlockTest& test);

/// The larger p-value of the two one-sided t tests that put the difference inside +-margin.
[[nodiscard]] double blockWithinPValue(const BlockTest& test, double margin);

/// Percentile interval of the difference of means, blocks resampled within each set.
[[nodiscard]] Interval blockBootstrap(
    const RunBlocks& first, const RunBlocks& second, const RunComparisonOptions& options);

/// Runs that would tell `difference` from 0. Nothing for no difference, or beyond 1000 runs.
[[nodiscard]] std::optional<NeededRuns> neededRuns(
    const BlockTest& test, double difference, double pressesARun, double confidence);

} // namespace twinlamp::stats
