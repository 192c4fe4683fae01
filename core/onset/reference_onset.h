// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"
#include "core/onset/edge_finder.h"
#include "core/onset/lamp_response.h"
#include "core/onset/level_window.h"
#include "core/onset/timed_trace.h"

#include <optional>

namespace twinlamp::onset {

/// Onset of the reference lamp, finer than a frame.
struct ReferenceOnset
{
    double timeMs = 0.0;
    double standardMs
        = 0.0; ///< of noise and of what the camera cannot see; exposure and rate are apart
    bool inGap = false; ///< no partly lit frame: the onset may lie between two exposures
    double stepNoises = 0.0; ///< step height in standard deviations of a frame
    LampResponse response; ///< under which it was timed
    Level before;
    Level after;
};

/// Frames that belong to one edge: everything between its neighbours' edges.
struct EdgeNeighbourhood
{
    std::size_t previousEdge = 0; ///< frame of the edge before, or 0
    std::size_t nextEdge = 0; ///< frame of the edge after, or the number of frames
};

/// When the lamp switched, from the partly lit frame: onset = end of exposure - fraction x
/// exposure, the fraction being the share of the step already made. Computed as the mean and the
/// standard deviation of the instant given the frames around the edge, all instants equally likely
/// beforehand: where the onset hides in the gap between two exposures that gives its middle and gap
/// / sqrt(12).
///
/// A lamp that switches slowly is timed at the start of its change.
///
/// @param clipped  the lit lamp is at the end of the code range: a partly lit frame then only
/// bounds the instant
/// @return nothing where a level on either side is missing or both are equal
/// Source: closed forms of a step through a box exposure; JCGM 100:2008 4.3.7 for the rectangular
/// parts. Tests:  tests/core/onset/reference_onset_test.cpp
[[nodiscard]] std::optional<ReferenceOnset> referenceOnset(const TimedTrace& trace,
    const CoarseEdge& edge, const EdgeNeighbourhood& around, bool clipped,
    const LampResponse& response = {});

/// Share of the step seen in the partly lit frame of an edge, and whether there is one.
struct PartlyLit
{
    double share = 0.0; ///< of the step, 0 to 1, in the first frame that differs from the old level
    bool isPartial = false;
    double stepNoises = 0.0;
};

/// Tells whether an edge left a partly lit frame: what an unknown exposure is estimated from.
[[nodiscard]] std::optional<PartlyLit> partlyLitFrame(
    const TimedTrace& trace, const CoarseEdge& edge, const EdgeNeighbourhood& around);

} // namespace twinlamp::onset
