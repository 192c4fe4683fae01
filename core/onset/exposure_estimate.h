// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/reference_onset.h"

#include <span>

namespace twinlamp::onset {

/// Exposure told by how often a lamp's switching leaves a partly lit frame.
struct ExposureEstimate
{
    double exposureMs = 0.0;
    double standardMs = 0.0;
    std::size_t edges = 0; ///< edges that could tell; few of them leave a wide standardMs
};

/// Share of partly lit frames = exposure / frame interval, for switchings at moments unrelated to
/// the frames. Shares too close to 0 or 1 to be told from noise are allowed for. The estimate is
/// the mean of the Beta posterior under a flat prior, (partial + 1) / (edges + 2), so that "all of
/// them partial" does not claim an exposure without any gap.
///
/// @param partlyLit  one entry per edge of an unclipped lamp
/// Source: Bernoulli trials with a flat prior (Bayes, Laplace); sd of a share as in
/// tests/core/onset. Tests:  tests/core/onset/exposure_estimate_test.cpp
[[nodiscard]] ExposureEstimate estimateExposure(
    std::span<const PartlyLit> partlyLit, double frameIntervalMs);

} // namespace twinlamp::onset
