// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/scene.h"
#include "core/film/truth.h"

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::accuracy {

/// Cramer-Rao bound of each true press' latency as a standard deviation. Unit: camera frames.
/// Empty where there is none: no answer, or a first picture so near to a tenth of the step that the
/// figure jumps.
using EdgeBounds = std::vector<std::optional<double>>;

/// What can be known of one edge from white noise: a frame's mean light and how it moves with the
/// edge's time.
struct FrameSlope
{
    double perMs = 0.0; ///< change of the mean light when the edge comes 1 ms later
    double share = 0.0; ///< of the step that the frame shows
    double variance = 0.0; ///< of the noise
};

/// Variance of the best unbiased estimate of an edge's time where both levels are unknown, ms^2.
/// Fisher information I = sum of (dm/dp)(dm/dp)^T / variance over the frames, p = time, level
/// before, level after; the bound is the time's element of its inverse (S. M. Kay, Fundamentals of
/// Statistical Signal Processing: Estimation Theory, chapter 3, from memory). Nothing where the
/// frames do not see the edge (it fell between two exposures).
/// Tests: tests/accuracy/edge_bound_test.cpp
[[nodiscard]] std::optional<double> edgeTimeVariance(std::span<const FrameSlope> frames);

/// Bounds of a whole clip. Its noise-free light is differentiated numerically, by filming the scene
/// again with one thing changed: both lamps' instants; the link's delay; the share of the first new
/// picture; the panel's response and scan time. Unknown are, for each press, its instants, the
/// share and four levels, and for the clip the two responses and the scan time. A reference edge
/// between two exposures gets the variance of the uniform distribution over the gap in place of a
/// bound.
/// @pre a panel that redraws on arrival, no jitter and no losses
/// Cost: some fifteen films of the lamp regions.
[[nodiscard]] EdgeBounds edgeBounds(const film::Scene& scene);

} // namespace twinlamp::accuracy
