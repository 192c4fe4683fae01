// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"

#include <span>
#include <vector>

namespace twinlamp::onset {

/// A switching between two light levels, found to the frame.
struct CoarseEdge
{
    Edge edge = Edge::On;
    std::size_t frame = 0; ///< first frame on the far side of half the step
    bool operator==(const CoarseEdge&) const = default;
};

struct EdgeSearch
{
    std::vector<CoarseEdge> edges; ///< in time order, on and off in turn
    double stepHeight = 0.0; ///< typical step; 0 where no step stands out
    double noise = 0.0; ///< frame-to-frame standard deviation
};

/// Finds the switchings of a two-level trace with no setting from the user: the typical step is
/// read from the trace, levels are followed so that drift does not matter, lamps may be lit at the
/// start.
///
/// A step stands out when it is at least 8 noise standard deviations (white noise alone reaches 6.5
/// over a million frames) and 0.002 of full scale.
/// @param light      one value per frame; NaN where a frame is missing
/// @param lagFrames  frames within which a switching is complete, >= 1
/// Cost: linear. Tests: tests/core/onset/edge_finder_test.cpp
[[nodiscard]] EdgeSearch findEdges(std::span<const float> light, std::size_t lagFrames);

} // namespace twinlamp::onset
