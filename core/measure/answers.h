// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/answer_window.h"
#include "core/measure/rhythm.h"
#include "core/onset/answer_fit.h"
#include "core/onset/edge_finder.h"
#include "core/onset/shape_fit.h"
#include "core/onset/timed_trace.h"

#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace twinlamp::measure {

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
    /// The panel redraws by its own clock: newFrameMs is then the redraw that all steps keep to,
    /// and the link's new-frame interval stands here, where it can be told.
    bool isOwnClock = false;
    std::optional<Interval> linkInterval;
};

/// What else tells the new-frame interval where the lamp's answers are too few to tell it.
struct NewFrameHint
{
    /// Measures it elsewhere; asked only where the answers do not tell.
    std::function<std::optional<Interval>()> measured = [] { return std::optional<Interval>(); };
    std::optional<double> likelyMs; ///< where nothing measures it
    std::optional<double> toldMs; ///< by the tester, of the link's camera
};

/// Fits the answers of the goggle lamp: first the new-frame interval from answers in two steps,
/// then the shape that each edge kind shares, then every answer with both.
/// @param hint     asked where the answers do not tell the interval
/// @param weights  of the goggle region along the sweep; none where they are not known
[[nodiscard]] Answers fitAnswers(const onset::TimedTrace& goggle,
    std::span<const onset::CoarseEdge> edges, std::span<const PairedEdge> paired,
    const NewFrameHint& hint, const std::shared_ptr<const onset::SweepWeights>& weights = nullptr);

/// What the panel has told about the goggle region.
struct GoggleSweep
{
    double rampMs = 0.0; ///< time that its sweep takes to cross the region, as the camera sees it
    std::optional<double> slope; ///< see onset::RowSplit; empty: the answers have to tell
};

/// The same answers again with what the panel has told. Kept as they are where that contradicts
/// them.
void refitWithSweep(const onset::TimedTrace& goggle, std::span<const onset::CoarseEdge> edges,
    std::span<const PairedEdge> paired, const GoggleSweep& sweep, Answers& answers);

/// The same answers under another exposure, as `goggle` has it: response, light and levels anew,
/// ramps and interval kept.
[[nodiscard]] Answers refitWithExposure(const onset::TimedTrace& goggle,
    std::span<const onset::CoarseEdge> edges, std::span<const PairedEdge> paired, Answers answers);

} // namespace twinlamp::measure
