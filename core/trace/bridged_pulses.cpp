// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/bridged_pulses.h"

#include "core/trace/noise.h"
#include "core/trace/pulse_rhythm.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace twinlamp::trace {

namespace {

constexpr float nan = std::numeric_limits<float>::quiet_NaN();
// The codec's own unrest and the noise of a dim lamp stay below it.
constexpr double leastDepth = 0.06;

// Largest or smallest of the finite values from `before` frames before each to `after` behind it.
template<typename Better>
std::vector<float> extremes(
    std::span<const float> light, std::size_t before, std::size_t after, const Better& better)
{
    std::vector<float> result(light.size(), nan);
    for (std::size_t k = 0; k < light.size(); ++k) {
        const std::size_t last = std::min(light.size(), k + after + 1);
        for (std::size_t i = k - std::min(k, before); i < last; ++i) {
            if (std::isfinite(light[i]) && !(better(result[k], light[i]))) {
                result[k] = light[i];
            }
        }
    }
    return result;
}

// Fills dips of up to `frames` frames.
std::vector<float> closed(std::span<const float> light, std::size_t frames)
{
    // A comparison with the NaN that a window starts from is false: the first value is taken.
    const auto widest = extremes(light, 0, frames, [](float a, float b) { return a >= b; });
    auto filled = extremes(widest, frames, 0, [](float a, float b) { return a <= b; });
    for (std::size_t k = 0; k < light.size(); ++k) {
        if (!std::isfinite(light[k])) {
            filled[k] = nan;
        }
    }
    return filled;
}

/// Frames of the lit lamp against the bridge over them.
struct LitFrames
{
    std::vector<double> share; ///< of the bridge
    std::vector<double> darkRuns; ///< lengths in frames of stretches below half of it
};

LitFrames litFrames(std::span<const float> light, const std::vector<float>& bridge)
{
    const float brightest = *std::ranges::max_element(
        bridge, [](float a, float b) { return std::isnan(a) || (!std::isnan(b) && a < b); });
    LitFrames lit;
    double run = 0.0;
    for (std::size_t k = 0; k < light.size(); ++k) {
        const bool isLit = bridge[k] > 0.5F * brightest; // false for NaN
        const double share
            = isLit ? static_cast<double>(light[k]) / static_cast<double>(bridge[k]) : 1.0;
        if (isLit) {
            lit.share.push_back(share);
        }
        if (share < 0.5) {
            run += 1.0;
        } else if (run > 0.0) {
            lit.darkRuns.push_back(run);
            run = 0.0;
        }
    }
    return lit;
}

} // namespace

std::optional<BridgedPulses> bridgePulses(
    std::span<const float> light, std::span<const double> timeMs, double frameIntervalMs)
{
    const auto periodMs = pulseRhythmMs(light, timeMs, frameIntervalMs);
    if (!periodMs) {
        return std::nullopt;
    }
    BridgedPulses bridged;
    // A pulse that two frames share reaches half; the next one, at another phase, does not.
    constexpr double periods = 2.0;
    bridged.light = closed(
        light, static_cast<std::size_t>(std::ceil(periods * *periodMs / frameIntervalMs)));
    LitFrames lit = litFrames(light, bridged.light);
    if (lit.share.empty()) {
        return std::nullopt;
    }
    const auto lowest = lit.share.begin() + std::ssize(lit.share) / 10;
    std::ranges::nth_element(lit.share, lowest);
    bridged.depth = 1.0 - *lowest;
    bridged.darkMs = medianOf(lit.darkRuns) * frameIntervalMs;
    return bridged.depth < leastDepth ? std::nullopt : std::optional(std::move(bridged));
}

} // namespace twinlamp::trace
