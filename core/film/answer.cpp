// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/answer.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace twinlamp::film {

namespace {

constexpr std::array<double, 3> crossingShares {0.1, 0.5, 0.9};
constexpr double settleFrom = 2.0; // new-frame intervals after the departure
constexpr double settleTo = 5.0;
constexpr double oldLevelOver = 3.0; // new-frame intervals before the departure
constexpr double resolvedFrames = 3.0; // camera frames a strobe period must last
constexpr double leastStep = 0.05; // of the lamp's full step, for an answer to count
constexpr double gridMs = 0.01;

bool isPast(double light, double level, bool rising)
{
    return rising ? light >= level : light <= level;
}

} // namespace

AnswerFinder::AnswerFinder(const Studio& studio)
    : m_studio(&studio)
    , m_newFrameMs(std::max(studio.link().frameIntervalMs(), studio.link().redrawIntervalMs()))
    , m_hints(studio.panel().groupCount(), 0)
{
    const PulseTrain* strobe = studio.panel().strobe();
    m_strobeResolved
        = strobe != nullptr && strobe->periodMs >= resolvedFrames * studio.cameraIntervalMs();
}

std::optional<double> AnswerFinder::departure(std::size_t edge, const GroupWeights& part) const
{
    const double lampMs = m_studio->edges()[edge].ms + m_studio->scene().lamps.skewMs;
    std::optional<double> first;
    for (const auto& [group, weight] : part) {
        const auto sight = m_studio->panel().firstSight(group, lampMs);
        if (sight && (!first || *sight < *first)) {
            first = sight;
        }
    }
    return first;
}

double AnswerFinder::previousDeparture(
    std::size_t edge, double startMs, const GroupWeights& part) const
{
    constexpr double longAgo = 100.0; // new-frame intervals
    for (std::size_t i = edge; i > 0; --i) {
        const auto earlier = departure(i - 1, part);
        if (earlier && *earlier < startMs) { // edges in the same link frame depart together
            return *earlier;
        }
    }
    return startMs - longAgo * m_newFrameMs;
}

std::optional<AnswerFinder::Window> AnswerFinder::window(
    std::size_t edge, const GroupWeights& part) const
{
    const auto start = departure(edge, part);
    if (!start) {
        return std::nullopt;
    }
    const bool last = edge + 1 == m_studio->edges().size();
    const double end = m_studio->durationMs();
    const double next = last ? end : departure(edge + 1, part).value_or(end);
    if (next <= *start && !last) {
        return std::nullopt; // both edges come to the panel in the same frame
    }
    const double previous = previousDeparture(edge, *start, part);
    Window window {*start, std::max(next, *start), {}, {}, true};
    const double settleEnd = *start + settleTo * m_newFrameMs;
    window.after = {*start + settleFrom * m_newFrameMs, std::min(settleEnd, window.nextMs)};
    window.settled = settleEnd <= window.nextMs;
    if (window.after.lengthMs() <= 0.0) {
        window.after = {std::max(*start, window.nextMs - 0.5 * m_newFrameMs), window.nextMs};
    }
    window.before
        = {std::max(*start - oldLevelOver * m_newFrameMs, previous + settleFrom * m_newFrameMs),
            *start};
    if (window.before.lengthMs() <= 0.0) {
        window.before.startMs = std::max(previous, *start - 0.5 * m_newFrameMs);
    }
    return window;
}

double AnswerFinder::firstFrameLevel(std::size_t edge, const GroupWeights& part) const
{
    const double lampMs = m_studio->edges()[edge].ms + m_studio->scene().lamps.skewMs;
    std::optional<std::int64_t> first;
    for (const auto& [group, weight] : part) {
        const auto redraw = m_studio->panel().firstRedraw(group, lampMs);
        if (redraw && (!first || redraw->frame < *first)) {
            first = redraw->frame;
        }
    }
    double sum = 0.0;
    for (const auto& [group, weight] : part) {
        sum += first ? weight * m_studio->panel().filmed(group, *first) : 0.0;
    }
    return sum;
}

double AnswerFinder::pulseLevel(const GroupWeights& part, Span pulse) const
{
    double sum = 0.0;
    for (const auto& [group, weight] : part) {
        const double offset = m_studio->panel().strobeOffsetMs(group);
        sum += weight
            * m_studio->panel().curve(group).mean(
                {pulse.startMs + offset, pulse.endMs + offset}, m_hints[group]);
    }
    return sum;
}

double AnswerFinder::level(const GroupWeights& part, Span span) const
{
    if (!m_strobeResolved) {
        double sum = 0.0;
        for (const auto& [group, weight] : part) {
            sum += weight * m_studio->panel().curve(group).mean(span, m_hints[group]);
        }
        return sum;
    }
    const double offset = firstOffset(part);
    const auto& pulses = m_studio->panel().strobe()->pulses;
    const auto startOf = [&](const Span& pulse) { return pulse.startMs + offset; };
    auto from = std::ranges::lower_bound(pulses, span.startMs, {}, startOf);
    const auto to = std::ranges::lower_bound(pulses, span.endMs, {}, startOf);
    if (from == to && from != pulses.begin()) {
        --from; // shorter than a period: the last pulse before
    }
    double sum = 0.0;
    for (auto pulse = from; pulse != to; ++pulse) {
        sum += pulseLevel(part, *pulse);
    }
    return sum / static_cast<double>(std::max<std::ptrdiff_t>(1, to - from));
}

double AnswerFinder::firstOffset(const GroupWeights& part) const
{
    double first = m_studio->panel().strobeOffsetMs(part.front().first);
    for (const auto& [group, weight] : part) {
        first = std::min(first, m_studio->panel().strobeOffsetMs(group));
    }
    return first;
}

double AnswerFinder::lightAt(const GroupWeights& part, double tMs) const
{
    const PanelLight& panel = m_studio->panel();
    const PulseTrain* strobe = panel.strobe();
    double sum = 0.0;
    for (const auto& [group, weight] : part) {
        if (strobe == nullptr) {
            sum += weight * panel.curve(group).value(tMs, m_hints[group]);
        } else {
            const double half = 0.5 * strobe->periodMs;
            sum += weight * panel.lampMean(group, {tMs - half, tMs + half}, m_hints[group]);
        }
    }
    return sum;
}

double AnswerFinder::litLevel(const GroupWeights& part, double sinceFirstMs) const
{
    double sum = 0.0;
    for (const auto& [group, weight] : part) {
        const double offset = m_studio->panel().strobeOffsetMs(group);
        sum += weight * m_studio->panel().curve(group).value(sinceFirstMs + offset, m_hints[group]);
    }
    return sum;
}

// First lit instant at which the light is past the goal, within one pulse.
std::optional<double> AnswerFinder::crossingIn(
    const GroupWeights& part, Span pulse, double goal, bool rising) const
{
    if (isPast(litLevel(part, pulse.startMs), goal, rising)) {
        return pulse.startMs;
    }
    if (!isPast(litLevel(part, pulse.endMs), goal, rising)) {
        return std::nullopt;
    }
    double low = pulse.startMs;
    double high = pulse.endMs;
    constexpr double fineMs = 1e-7;
    while (high - low > fineMs) {
        const double middle = std::midpoint(low, high);
        (isPast(litLevel(part, middle), goal, rising) ? high : low) = middle;
    }
    return high;
}

void AnswerFinder::crossPulses(const GroupWeights& part, const Window& window, Answer& answer) const
{
    const bool rising = answer.finalLevel > answer.oldLevel;
    const double offset = firstOffset(part);
    const auto& pulses = m_studio->panel().strobe()->pulses;
    std::size_t first = m_studio->panel().strobe()->firstAfter(window.departureMs - offset);
    // The picture may have come while a pulse was lit.
    if (first > 0 && pulses[first - 1].endMs + offset > window.departureMs) {
        --first;
    }
    for (std::size_t i = first; i < pulses.size() && pulses[i].startMs + offset < window.nextMs;
         ++i) {
        for (std::size_t c = 0; c < crossingShares.size(); ++c) {
            const double goal = std::lerp(answer.oldLevel, answer.finalLevel, crossingShares[c]);
            if (const auto at = answer.crossingsMs[c] ? std::nullopt
                                                      : crossingIn(part, pulses[i], goal, rising)) {
                answer.crossingsMs[c] = *at + offset;
            }
        }
        if (answer.crossingsMs.back()) {
            return;
        }
    }
}

void AnswerFinder::crossGrid(const GroupWeights& part, const Window& window, Answer& answer) const
{
    const bool rising = answer.finalLevel > answer.oldLevel;
    const PulseTrain* strobe = m_studio->panel().strobe();
    double before = window.departureMs - (strobe == nullptr ? gridMs : strobe->periodMs);
    std::size_t c = 0;
    while (before < window.nextMs) {
        const double now = before + gridMs;
        const double light = lightAt(part, now);
        for (; c < crossingShares.size(); ++c) {
            const double goal = std::lerp(answer.oldLevel, answer.finalLevel, crossingShares[c]);
            if (!isPast(light, goal, rising)) {
                break;
            }
            double low = before;
            double high = now;
            constexpr double fineMs = 1e-7;
            while (high - low > fineMs) {
                const double middle = std::midpoint(low, high);
                (isPast(lightAt(part, middle), goal, rising) ? high : low) = middle;
            }
            answer.crossingsMs[c] = high;
        }
        if (c == crossingShares.size()) {
            return;
        }
        before = now;
    }
}

std::optional<Answer> AnswerFinder::answer(std::size_t edge, const GroupWeights& part) const
{
    const auto found = part.empty() ? std::nullopt : window(edge, part);
    if (!found) {
        return std::nullopt;
    }
    Answer answer;
    answer.oldLevel = level(part, found->before);
    answer.finalLevel = found->after.lengthMs() > 0.0 ? level(part, found->after) : answer.oldLevel;
    answer.settledBeforeNext = found->settled;
    const double whole = std::accumulate(part.begin(), part.end(), 0.0,
        [](double sum, const auto& entry) { return sum + entry.second; });
    const double step = answer.finalLevel - answer.oldLevel;
    const bool right = (m_studio->edges()[edge].edge == Edge::On) == (step > 0.0);
    if (!right || !(std::abs(step) >= leastStep * whole)) {
        return std::nullopt;
    }
    answer.firstStepShare = (firstFrameLevel(edge, part) - answer.oldLevel) / step;
    if (m_strobeResolved) {
        crossPulses(part, *found, answer);
    } else {
        crossGrid(part, *found, answer);
    }
    return answer;
}

} // namespace twinlamp::film
