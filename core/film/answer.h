// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/studio.h"

#include <array>
#include <optional>
#include <span>
#include <utility>
#include <vector>

namespace twinlamp::film {

/// How the panel answers one lamp edge in a part of it.
struct Answer
{
    /// 10, 50 and 90 % of the step. Unit: ms.
    std::array<std::optional<double>, 3> crossingsMs;
    double oldLevel = 0.0;
    double finalLevel = 0.0;
    double firstStepShare = 1.0; ///< of the step, in the first link frame that saw the edge
    bool settledBeforeNext = true; ///< the final level could be taken up to its full time
};

/// Groups of the panel and their weights.
using GroupWeights = std::vector<std::pair<std::size_t, double>>;

/// Finds the answers to a studio's lamp edges in any part of the panel.
class AnswerFinder
{
public:
    explicit AnswerFinder(const Studio& studio);

    /// Whether pulses of a strobed panel are told apart by the camera.
    [[nodiscard]] bool strobeResolved() const { return m_strobeResolved; }

    [[nodiscard]] double newFrameIntervalMs() const { return m_newFrameMs; }

    /// Answer to edge i in the part; nothing where there is none.
    [[nodiscard]] std::optional<Answer> answer(std::size_t edge, const GroupWeights& part) const;

private:
    struct Window
    {
        double departureMs;
        double nextMs; ///< departure of the next answer, or the end of the clip
        Span before; ///< where the old level is taken
        Span after; ///< where the final level is taken
        bool settled;
    };

    [[nodiscard]] std::optional<double> departure(std::size_t edge, const GroupWeights& part) const;
    [[nodiscard]] double previousDeparture(
        std::size_t edge, double startMs, const GroupWeights& part) const;
    [[nodiscard]] std::optional<Window> window(std::size_t edge, const GroupWeights& part) const;
    [[nodiscard]] double firstFrameLevel(std::size_t edge, const GroupWeights& part) const;
    [[nodiscard]] double level(const GroupWeights& part, Span span) const;
    [[nodiscard]] double lightAt(const GroupWeights& part, double tMs) const;
    void crossPulses(const GroupWeights& part, const Window& window, Answer& answer) const;
    void crossGrid(const GroupWeights& part, const Window& window, Answer& answer) const;
    /// Light of a part while its pulses are lit, at a time counted from its first group's pulses.
    [[nodiscard]] double litLevel(const GroupWeights& part, double sinceFirstMs) const;
    [[nodiscard]] std::optional<double> crossingIn(
        const GroupWeights& part, Span pulse, double goal, bool rising) const;
    [[nodiscard]] double pulseLevel(const GroupWeights& part, Span pulse) const;
    [[nodiscard]] double firstOffset(const GroupWeights& part) const;

    const Studio* m_studio;
    double m_newFrameMs = 0.0;
    bool m_strobeResolved = false;
    mutable std::vector<std::size_t> m_hints;
};

} // namespace twinlamp::film
