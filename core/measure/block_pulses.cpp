// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/block_pulses.h"

#include "core/trace/pulse_rhythm.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <optional>
#include <vector>

namespace twinlamp::measure {

namespace {

// A block that changes by as much of its range in more than a tenth of the frames may pulse; a lamp
// that switches changes less often. What else does, has no rhythm.
constexpr double pulsingShare = 0.05;
constexpr double oftenEnough = 0.9;
constexpr float leastRange = 0.01F;
// Fewer blocks are no panel.
constexpr std::size_t fewestBlocks = 8;
// A rhythm slower than this is no strobe: no camera for the bench takes a hundred frames of it.
constexpr double longestFrames = 100.0;
// A strobe repeats but for the lamps' steps and noise: 15 clips of tests/independent (strobes, PWM)
// had 0.60 to 0.92, eight random scenes of quick presses 0.27 to 0.52.
constexpr double mostlyRepeating = 0.55;

bool pulses(std::span<const float> light)
{
    const auto [low, high] = std::ranges::minmax(light);
    if (high - low < leastRange) {
        return false;
    }
    std::vector<double> changes;
    for (std::size_t k = 1; k < light.size(); ++k) {
        changes.push_back(
            std::abs(static_cast<double>(light[k]) - static_cast<double>(light[k - 1])));
    }
    const auto often = changes.begin()
        + static_cast<std::ptrdiff_t>(oftenEnough * static_cast<double>(changes.size()));
    std::ranges::nth_element(changes, often);
    return *often > pulsingShare * static_cast<double>(high - low);
}

/// Mean over `period` frames around each frame; fewer at the ends.
void average(std::span<float> light, double period)
{
    std::vector<double> sums {0.0};
    for (const float value : light) {
        sums.push_back(sums.back() + static_cast<double>(value));
    }
    const auto sumTo = [&](double at) {
        const double place = std::clamp(at, 0.0, static_cast<double>(light.size()));
        const auto k = std::min(static_cast<std::size_t>(place), light.size() - 1);
        return sums[k] + (place - static_cast<double>(k)) * (sums[k + 1] - sums[k]);
    };
    for (std::size_t k = 0; k < light.size(); ++k) {
        const double middle = static_cast<double>(k) + 0.5;
        const double from = std::max(0.0, middle - 0.5 * period);
        const double to = std::min(static_cast<double>(light.size()), middle + 0.5 * period);
        light[k] = static_cast<float>((sumTo(to) - sumTo(from)) / (to - from));
    }
}

/// Frames to average over: a period where it holds many frames; where it holds few, their own grid
/// beats with it, and whole frames are taken that hold about a whole number of periods.
double windowFrames(double period)
{
    constexpr double manyFrames = 6.0;
    constexpr int mostFrames = 12;
    if (period >= manyFrames) {
        return period;
    }
    double best = period;
    double least = 1.0;
    for (int frames = static_cast<int>(std::ceil(period)); frames <= mostFrames; ++frames) {
        const double periods = static_cast<double>(frames) / period;
        const double off = std::abs(periods - std::round(periods)) / periods;
        if (off < least) {
            least = off;
            best = frames;
        }
    }
    return best;
}

/// Share of what is quicker than a period that repeats with it, over thirty periods each: near 1
/// for a strobe, small for quick presses made by hand, which have a rhythm only on the whole.
double repeatingShare(const std::vector<float>& light, double period)
{
    constexpr std::size_t phases = 8;
    constexpr double periods = 30.0;
    constexpr double fewestFrames = 64.0;
    const auto stretch = std::min(
        light.size(), static_cast<std::size_t>(std::max(periods * period, fewestFrames)));
    std::vector<float> slow = light;
    average(slow, period);
    double all = 0.0;
    double repeating = 0.0;
    for (std::size_t first = 0; first + stretch <= light.size(); first += stretch) {
        std::array<double, phases> sums {};
        std::array<double, phases> counts {};
        for (std::size_t k = first; k < first + stretch; ++k) {
            const double quick = static_cast<double>(light[k]) - static_cast<double>(slow[k]);
            const double phase = std::fmod(static_cast<double>(k), period) / period;
            const auto bin = std::min(
                phases - 1, static_cast<std::size_t>(phase * static_cast<double>(phases)));
            sums[bin] += quick;
            counts[bin] += 1.0;
            all += quick * quick;
        }
        for (std::size_t bin = 0; bin < phases; ++bin) {
            repeating += counts[bin] > 0.0 ? sums[bin] * sums[bin] / counts[bin] : 0.0;
        }
    }
    return all > 0.0 ? repeating / all : 0.0;
}

/// Period of the blocks together, in frames.
std::optional<double> periodFrames(const BlockMap& map, const std::vector<std::size_t>& blocks)
{
    std::vector<float> mean(map.frames, 0.0F);
    std::vector<double> frames(map.frames);
    std::iota(frames.begin(), frames.end(), 0.0);
    for (const std::size_t b : blocks) {
        const auto light = map.block(b);
        std::ranges::transform(mean, light, mean.begin(), std::plus());
    }
    const auto period = trace::pulseRhythmMs(mean, frames, 1.0);
    const bool isStrobe
        = period && *period < longestFrames && repeatingShare(mean, *period) > mostlyRepeating;
    return isStrobe ? period : std::nullopt;
}

} // namespace

bool averagePulses(BlockMap& map)
{
    std::vector<std::size_t> pulsing;
    for (std::size_t b = 0; b < map.blockCount(); ++b) {
        if (map.frames > 1 && pulses(map.block(b))) {
            pulsing.push_back(b);
        }
    }
    if (pulsing.size() < fewestBlocks) {
        return false;
    }
    const auto period = periodFrames(map, pulsing);
    if (!period) {
        return false;
    }
    for (const std::size_t b : pulsing) {
        average(std::span(map.light).subspan(b * map.frames, map.frames), windowFrames(*period));
    }
    return true;
}

} // namespace twinlamp::measure
