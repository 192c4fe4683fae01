// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/answer_window.h"
#include "core/measure/rhythm.h"
#include "core/onset/split_shape.h"

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::measure {

/// Shapes of both edge kinds and how the first of two pictures shares its light.
struct AnswerShapes
{
    onset::StepShape on;
    onset::StepShape off;
    double slope = 0.0; ///< see onset::RowSplit
};

/// All answers of a clip, to be fitted under shapes in common.
class AnswerCases
{
public:
    /// @param newFrameMs  interval between new pictures, or a guess
    AnswerCases(const onset::TimedTrace& goggle, std::span<const onset::CoarseEdge> edges,
        std::span<const PairedEdge> paired, double newFrameMs);

    /// Answers of one edge kind.
    [[nodiscard]] std::vector<std::size_t> ofKind(Edge kind) const;

    [[nodiscard]] std::vector<onset::AnswerWindow> windowsOf(Edge kind) const;

    [[nodiscard]] const onset::AnswerWindow& window(std::size_t i) const { return m_windows[i]; }

    /// Every answer's start, levels and steps under the shapes; one per answer.
    /// @param delays  see delaysFor
    [[nodiscard]] std::vector<std::optional<onset::AnswerFit>> fits(
        const AnswerShapes& shapes, std::span<const double> delays) const;

    /// The same, each with its own delay near the common one: new pictures do not come quite
    /// evenly.
    [[nodiscard]] std::vector<std::optional<onset::AnswerFit>> fitsWithOwnDelays(
        const AnswerShapes& shapes, std::span<const double> delays) const;

    /// Squared residuals of the answers `which`, each in units of its own step; one that nothing
    /// explains does not decide.
    [[nodiscard]] double squares(const AnswerShapes& shapes, std::span<const std::size_t> which,
        std::span<const double> delays) const;

    /// Answers in two steps, neither of them negligible.
    [[nodiscard]] std::vector<std::size_t> inTwoSteps(
        const AnswerShapes& shapes, std::span<const double> delays) const;

private:
    const onset::TimedTrace& m_goggle;
    std::vector<onset::AnswerWindow> m_windows;
};

/// One step, two an interval apart, or two of which the second picture was lost on the way.
[[nodiscard]] std::vector<double> delaysFor(std::optional<double> newFrameMs);

/// The interval at which the answers in two steps together fit best, near an estimate; the estimate
/// where they have no best one.
[[nodiscard]] Interval refinedInterval(
    const AnswerCases& cases, const AnswerShapes& shapes, Interval estimate);

/// Rows further along the sweep saw the lamp longer in the first picture: by how much, the answers
/// in two steps tell together. 0 with fewer than three of them.
[[nodiscard]] double bestSlope(
    const AnswerCases& cases, AnswerShapes shapes, std::span<const double> delays);

} // namespace twinlamp::measure
