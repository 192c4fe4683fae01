// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/compare/run_blocks.h"

#include <cstdint>
#include <span>

namespace twinlamp::stats {

/// The centres of a setting's runs.
struct RunCentres
{
    RunBlocks blocks; ///< ms; runs that have a centre
    std::int64_t withoutCentre = 0; ///< runs whose centre falls among the lost answers
};

/// Runs without presses are passed over.
[[nodiscard]] RunCentres centresOf(std::span<const RunLatencies> runs, Centre centre);

/// Mean of figures that stand for a run each, and its t interval: the offset that a run keeps is
/// part of their scatter.
/// @return Nothing without a figure; without ends of the interval where there is one alone.
/// @pre confidence in (0, 1)
[[nodiscard]] std::optional<Estimate> meanOverRuns(
    std::span<const double> figures, double confidence = usualConfidence);

} // namespace twinlamp::stats
