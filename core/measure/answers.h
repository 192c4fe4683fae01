// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/answer_fit.h"
#include "core/onset/edge_finder.h"
#include "core/onset/shape_fit.h"
#include "core/onset/timed_trace.h"

#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace twinlamp::measure {

/// A goggle edge that belongs to a press.
struct PairedEdge
{
    std::size_t goggleEdge = 0; ///< index into the goggle edges
    double referenceMs = 0.0; ///< onset of the press: the answer cannot start before it
};

/// Fitted answers of one clip, on and off apart.
struct Answers
{
    std::vector<std::optional<onset::AnswerFit>> fits; ///< one per paired edge
    onset::StepShape onShape;
    onset::StepShape offShape;
    double onShapeSquares = 0.0; ///< see onset::ShapeFit
    double offShapeSquares = 0.0;
    double firstPictureSlope = 0.0; ///< see onset::RowSplit
    double onShapeStandardMs = 0.0;
    double offShapeStandardMs = 0.0;
    std::optional<double> newFrameMs; ///< from second steps; empty where none shows
    std::optional<double> newFrameStandardMs;
    bool newFrameIsRhythm
        = false; ///< told by the rhythm of the answers' starts, not by second steps alone
};

/// Fits the answers of the goggle lamp: first the new-frame interval from answers in two steps,
/// then the shape that each edge kind shares, then every answer with both.
/// @param panelNewFrameMs  interval told by a moving picture on the panel, for where no second step
/// shows
/// @param weights  of the goggle region along the sweep; none where they are not known
[[nodiscard]] Answers fitAnswers(const onset::TimedTrace& goggle,
    std::span<const onset::CoarseEdge> edges, std::span<const PairedEdge> paired,
    std::optional<double> panelNewFrameMs,
    const std::shared_ptr<const onset::SweepWeights>& weights = nullptr);

/// The same answers again where the panel has told how long its sweep takes to cross the goggle
/// region. Kept as they are where that contradicts them.
/// @param rampMs  as the camera sees it
void refitWithRamp(const onset::TimedTrace& goggle, std::span<const onset::CoarseEdge> edges,
    std::span<const PairedEdge> paired, double rampMs, Answers& answers);

/// The stretch of the trace that tells about one answer.
/// @param newFrameMs  interval between new pictures, or a guess
[[nodiscard]] onset::AnswerWindow answerWindow(const onset::TimedTrace& goggle,
    std::span<const onset::CoarseEdge> edges, const PairedEdge& paired, double newFrameMs);

} // namespace twinlamp::measure
