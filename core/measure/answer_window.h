// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/answer_fit.h"
#include "core/onset/edge_finder.h"
#include "core/onset/timed_trace.h"

#include <span>

namespace twinlamp::measure {

/// New-frame interval assumed until one is known: the slow end of today's links (30 pictures a
/// second would be 33 ms).
constexpr double guessedNewFrameMs = 20.0;

/// A goggle edge that belongs to a press.
struct PairedEdge
{
    std::size_t goggleEdge = 0; ///< index into the goggle edges
    double referenceMs = 0.0; ///< onset of the press: the answer cannot start before it
};

/// The stretch of the trace that tells about one answer.
/// @param newFrameMs  interval between new pictures, or a guess
[[nodiscard]] onset::AnswerWindow answerWindow(const onset::TimedTrace& goggle,
    std::span<const onset::CoarseEdge> edges, const PairedEdge& paired, double newFrameMs);

} // namespace twinlamp::measure
