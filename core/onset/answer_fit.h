// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"
#include "core/onset/shape_table.h"
#include "core/onset/split_shape.h"
#include "core/onset/timed_trace.h"

#include <optional>
#include <span>

namespace twinlamp::onset {

/// Where one answer of the goggle lamp is looked for.
struct AnswerWindow
{
    Edge edge = Edge::On;
    std::size_t firstFrame = 0;
    std::size_t lastFrame = 0; ///< not part of it
    double earliestMs
        = 0.0; ///< of the change's start, in region time (row 0 of the region, real time)
    double latestMs = 0.0;
};

/// An answer as the model sees it: light = before + first g(t - start) + second g(t - start -
/// delay). Two steps, because the link camera's own exposure leaves the first new picture partly
/// lit.
struct AnswerFit
{
    double startMs = 0.0; ///< start of the change, region time
    double delayMs = 0.0; ///< of the second step; 0: one step
    double before = 0.0;
    double first = 0.0; ///< signed step
    double second = 0.0; ///< signed step
    RowSplit split; ///< how the rows share the two steps
    double squares = 0.0; ///< sum of squared residuals
    std::size_t frames = 0;
    double startStandardMs = 0.0; ///< from the curvature of the sum of squares and the residuals
    /// Starts that explain the frames as well within two standard deviations: wide where frames are
    /// lost or dark. Filled in by boundStart.
    double earliestMs = 0.0;
    double latestMs = 0.0;

    [[nodiscard]] double step() const { return first + second; }

    [[nodiscard]] double after() const { return before + first + second; }

    /// Share of the whole step that the first of two steps makes; 1 for one step.
    [[nodiscard]] double firstShare() const { return first / step(); }

    /// Squared residuals in units of the step, so that a dim answer counts as much as a bright one;
    /// 1 where nothing changes.
    [[nodiscard]] double relativeSquares() const
    {
        return step() != 0.0 ? squares / (step() * step()) : 1.0;
    }

    /// Standard deviation of one frame about the model.
    [[nodiscard]] double residual() const;
};

/// Least squares over the start of the change; levels and steps follow linearly, steps are kept of
/// one sign.
///
/// @param table   shape of the change and the exposure
/// @param delays  possible delays of the second step, ms; 0 stands for one step
/// @return nothing where the window has too few frames or no step of the right sign
/// Source: ordinary least squares with the linear parameters eliminated (Golub and Pereyra 1973,
/// variable projection;
///         from memory).
/// Tests:  tests/core/onset/answer_fit_test.cpp
[[nodiscard]] std::optional<AnswerFit> fitAnswer(const TimedTrace& trace,
    const AnswerWindow& window, const ShapeTable& table, std::span<const double> delays);

/// The same, with the rows' part in the first of two steps told by `tables`.
[[nodiscard]] std::optional<AnswerFit> fitAnswer(const TimedTrace& trace,
    const AnswerWindow& window, const SplitTables& tables, std::span<const double> delays);

/// Fills in how far the start of a fit may move either way.
/// @param tables  that it was fitted with
void boundStart(
    const TimedTrace& trace, const AnswerWindow& window, const SplitTables& tables, AnswerFit& fit);

/// Share of its whole step that the fitted light has made, in the mean from one instant to another.
[[nodiscard]] double meanShare(
    const AnswerFit& fit, const StepShape& shape, double fromMs, double toMs);

/// Time at which the fitted light has made `share` of its whole step, region time.
[[nodiscard]] double crossingMs(const AnswerFit& fit, const StepShape& shape, double share);

} // namespace twinlamp::onset
