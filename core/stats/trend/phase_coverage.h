// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>

namespace twinlamp::stats {

/// How the presses of one run fell over the link's frame.
struct PhaseCoverage
{
    /// Length of the mean of the phases taken as directions: 0 for phases spread all around, 1 for
    /// presses in step with the frames.
    double resultant = 0.0;
    double pValue = 1.0; ///< of phases spread evenly; small: presses were in step (Rayleigh)
    double largestGap = 1.0; ///< longest part of the frame without a press, share of it
    bool operator==(const PhaseCoverage&) const = default;
};

/// Whether presses were spread over the link's frame, which a fair test needs: in step with it they
/// all meet the same wait. The interval has to be the true one over the time of the run: 10 parts
/// in a million are 1 ms after 100 s. Take it from a sawtooth that shows.
///
/// @param atMs      onsets of the reference lamp, ms of real time
/// @param frameMs   > 0
/// @return Nothing of fewer than 2 presses.
/// Source: K. V. Mardia, Statistics of Directional Data (1972), section 6.3 (from memory), with the
///         correction for small counts of D. Wilkie (1983), Applied Statistics 32, 311-312 (from
///         memory).
/// Tests:  tests/core/stats/trend/phase_coverage_test.cpp
[[nodiscard]] std::optional<PhaseCoverage> phaseCoverage(
    std::span<const double> atMs, double frameMs);

} // namespace twinlamp::stats
