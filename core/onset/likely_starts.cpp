// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/likely_starts.h"

#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <span>

namespace twinlamp::onset {

namespace {

// Frames of a window before its answer can have begun, and their level.
struct QuietStart
{
    std::size_t frames = 0;
    double level = 0.0;
    double noise = 0.0;
};

// By medians: the answer before may still be settling in the first of these frames.
QuietStart quietStart(const WindowLight& w, double untilMs)
{
    QuietStart quiet;
    quiet.frames = w.firstAt(untilMs);
    quiet.level = trace::medianOf(std::span(w.light()).first(quiet.frames));
    std::vector<double> away;
    for (std::size_t i = 0; i < quiet.frames; ++i) {
        away.push_back(std::abs(w.light()[i] - quiet.level));
    }
    constexpr double normalConsistency = 1.4826;
    quiet.noise = normalConsistency * trace::medianOf(away);
    return quiet;
}

} // namespace

std::vector<StartRange> likelyStarts(const WindowLight& w, const TimedTrace& trace,
    const AnswerWindow& window, const StepShape& shape)
{
    const StartRange whole {window.earliestMs, window.latestMs};
    const QuietStart quiet = quietStart(w, window.earliestMs - trace.camera.exposureMs);
    constexpr std::size_t fewestQuiet = 4;
    if (quiet.frames < fewestQuiet) {
        return {whole};
    }
    const double sign = window.edge == Edge::On ? 1.0 : -1.0;
    constexpr double noises = 4.0;
    double highest = 0.0;
    for (const double value : w.light()) {
        highest = std::max(highest, sign * (value - quiet.level));
    }
    // Where noise could hide a first picture that decides first light, nothing is left out.
    constexpr double decidingShare = 0.12;
    if (noises * quiet.noise > decidingShare * highest) {
        return {whole};
    }
    // A slow response leaves the level some time before it shows.
    const double lead
        = std::max({2.0 * trace.camera.frameIntervalMs, 3.0, shape.rampMs + shape.tauMs});
    std::vector<StartRange> ranges;
    for (const double share : {0.04, 0.2}) {
        const double threshold = std::max(noises * quiet.noise, share * highest);
        for (std::size_t i = quiet.frames; i + 1 < w.frames(); ++i) {
            if (sign * (w.light()[i] - quiet.level) > threshold
                && sign * (w.light()[i + 1] - quiet.level) > threshold) {
                // Frames lost or dark before it leave more room.
                const double before = std::min(w.timeMs()[i] - lead, w.timeMs()[i - 1]);
                const StartRange range {std::max(whole.earliestMs, before),
                    std::min(whole.latestMs, w.timeMs()[i] + trace.camera.frameIntervalMs)};
                if (ranges.empty() || range.earliestMs > ranges.back().latestMs) {
                    ranges.push_back(range);
                }
                break;
            }
        }
    }
    return ranges.empty() ? std::vector<StartRange> {whole} : ranges;
}

} // namespace twinlamp::onset
