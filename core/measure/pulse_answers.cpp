// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/pulse_answers.h"

#include <algorithm>

namespace twinlamp::measure {

namespace {

std::size_t frameAt(const onset::TimedTrace& trace, double timeMs)
{
    return static_cast<std::size_t>(
        std::ranges::lower_bound(trace.startMs, timeMs) - trace.startMs.begin());
}

} // namespace

onset::AnswerWindow pulseWindow(const onset::TimedTrace& goggle,
    std::span<const onset::CoarseEdge> edges, const PairedEdge& paired, double periodMs)
{
    onset::AnswerWindow window = answerWindow(goggle, edges, paired, periodMs);
    constexpr double pulsesAround = 4.0;
    const double half = window.latestMs;
    // What changes before the reference lamp is no answer; rows seen first may be pulses earlier.
    window.earliestMs
        = std::max(paired.referenceMs, std::min(window.earliestMs, half - 2.5 * periodMs));
    const std::size_t wanted = frameAt(goggle, window.earliestMs - pulsesAround * periodMs);
    const std::size_t notBefore = paired.goggleEdge > 0
        ? frameAt(goggle, goggle.startMs[edges[paired.goggleEdge - 1].frame] + 2.0 * periodMs)
        : 0;
    window.firstFrame = std::min(window.firstFrame, std::max(wanted, notBefore));
    const std::size_t notAfter = paired.goggleEdge + 1 < edges.size()
        ? edges[paired.goggleEdge + 1].frame
        : goggle.frameCount();
    window.lastFrame = std::max(
        window.lastFrame, std::min(notAfter, frameAt(goggle, half + pulsesAround * periodMs)));
    return window;
}

std::vector<std::optional<onset::PulseAnswer>> pulseAnswers(const onset::TimedTrace& goggle,
    const trace::PulseLight& pulses, std::span<const onset::CoarseEdge> edges,
    std::span<const PairedEdge> paired)
{
    std::vector<std::optional<onset::PulseAnswer>> answers;
    for (const PairedEdge& pair : paired) {
        answers.push_back(
            pulseAnswer(goggle, pulses, pulseWindow(goggle, edges, pair, pulses.periodMs)));
    }
    return answers;
}

ModelStretch modelOfPulses(const onset::TimedTrace& goggle, const onset::AnswerWindow& window,
    const onset::PulseAnswer& answer)
{
    ModelStretch model {static_cast<std::int64_t>(window.firstFrame), {}};
    for (std::size_t k = window.firstFrame; k < window.lastFrame; ++k) {
        // A frame belongs to the new level when its exposure ends after first light.
        const double end = goggle.startMs[k] + goggle.rows.meanRowMs() + goggle.camera.exposureMs;
        model.light.push_back(
            static_cast<float>(end > answer.firstMs ? answer.after : answer.before));
    }
    return model;
}

} // namespace twinlamp::measure
