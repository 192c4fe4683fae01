// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/answer_fit.h"
#include "core/onset/timed_trace.h"

#include <cstddef>
#include <vector>

namespace twinlamp::onset {

/// Frames of a window that have a light, with sums over all from each frame on: a step has long
/// made its whole change in most of them, and fits ask a million times.
class WindowLight
{
public:
    WindowLight(const TimedTrace& trace, const AnswerWindow& window);

    [[nodiscard]] std::size_t frames() const { return m_light.size(); }

    [[nodiscard]] const std::vector<double>& light() const { return m_light; }

    /// Start of the exposure of the region's mean row, ms; rising.
    [[nodiscard]] const std::vector<double>& timeMs() const { return m_timeMs; }

    /// Sum of light over the frames from `first` on. @pre first <= frames()
    [[nodiscard]] double sumFrom(std::size_t first) const { return m_sumFrom[first]; }

    [[nodiscard]] double sumOfSquares() const { return m_squares; }

    /// The first frame at this time or later; frames() where there is none.
    [[nodiscard]] std::size_t firstAt(double timeMs) const;

private:
    std::vector<double> m_light;
    std::vector<double> m_timeMs;
    std::vector<double> m_sumFrom; ///< frames() + 1 values, the last one 0
    double m_squares = 0.0;
    double m_framesPerMs = 0.0;
};

} // namespace twinlamp::onset
