// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/slow_beat.h"

#include "core/trace/periodic_power.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/core.hpp>
#include <vector>

namespace twinlamp::trace {

namespace {

constexpr double fastestPerMs = 0.060;
// Slower than this, all rows of a picture see the beat at one phase.
constexpr double slowPerMs = 0.040;
constexpr double slowestPerMs = 0.003;
constexpr std::size_t fewestHolds = 6;
constexpr double fewestPeriods = 8.0;
constexpr std::size_t fewestFramesOfHold = 6;
// As of pulses that are seen frame by frame.
constexpr double leastSwing = 0.06; ///< peak to peak, share of the light
constexpr double leastExplained = 0.5;
// A hold much dimmer than the brightest one is mostly noise and codec.
constexpr double dimmestShare = 0.15;
constexpr int harmonics = 3;
constexpr std::size_t bins = 48;

constexpr std::size_t coefficients = 6; // cosine and sine of each harmonic
static_assert(coefficients == 2 * static_cast<std::size_t>(harmonics));

using Waveform = std::array<double, coefficients>;

/// Frames of one hold and their level.
struct Hold
{
    std::vector<std::size_t> frames;
    double level = 0.0;
};

double swingAt(const Waveform& wave, double turns)
{
    double sum = 0.0;
    for (int j = 0; j < harmonics; ++j) {
        const double angle = 2.0 * std::numbers::pi * (j + 1) * turns;
        const auto at = static_cast<std::size_t>(2 * j);
        sum += wave[at] * std::cos(angle) + wave[at + 1] * std::sin(angle);
    }
    return sum;
}

std::vector<Hold> holdsOf(std::span<const float> light, std::span<const FrameRange> ranges)
{
    std::vector<Hold> holds;
    double brightest = 0.0;
    for (const FrameRange& range : ranges) {
        Hold hold;
        double sum = 0.0;
        for (auto k = range.first.value; k < range.last.value; ++k) {
            const auto frame = static_cast<std::size_t>(k);
            if (frame < light.size() && std::isfinite(light[frame])) {
                hold.frames.push_back(frame);
                sum += static_cast<double>(light[frame]);
            }
        }
        if (hold.frames.size() >= fewestFramesOfHold) {
            hold.level = sum / static_cast<double>(hold.frames.size());
            brightest = std::max(brightest, hold.level);
            holds.push_back(std::move(hold));
        }
    }
    std::erase_if(holds, [&](const Hold& hold) { return hold.level <= dimmestShare * brightest; });
    return holds;
}

// What the holds' light differs from its level by, 0 elsewhere.
std::vector<double> residualsOf(std::span<const float> light, const std::vector<Hold>& holds)
{
    std::vector<double> residuals(light.size(), 0.0);
    for (const Hold& hold : holds) {
        for (const std::size_t k : hold.frames) {
            residuals[k] = static_cast<double>(light[k]) - hold.level;
        }
    }
    return residuals;
}

// Climbs from a frequency to the top of its peak.
double refined(const std::vector<double>& residuals, std::span<const double> timeMs, double perMs,
    double reachPerMs)
{
    constexpr int halvings = 9;
    for (int i = 0; i < halvings; ++i) {
        reachPerMs *= 0.5;
        for (const double other : {perMs - reachPerMs, perMs + reachPerMs}) {
            if (powerAt(residuals, timeMs, other) > powerAt(residuals, timeMs, perMs)) {
                perMs = other;
            }
        }
    }
    return perMs;
}

// Frequency with the most power between the slowest and the fastest beat, per ms.
std::optional<double> strongestPerMs(
    const std::vector<double>& residuals, std::span<const double> timeMs)
{
    const double intervalMs = (timeMs.back() - timeMs.front())
        / static_cast<double>(std::max<std::size_t>(1, timeMs.size() - 1));
    const int size = cv::getOptimalDFTSize(4 * static_cast<int>(residuals.size()));
    cv::Mat padded = cv::Mat::zeros(1, size, CV_64F);
    std::ranges::copy(residuals, padded.ptr<double>());
    cv::Mat spectrum;
    cv::dft(padded, spectrum, cv::DFT_COMPLEX_OUTPUT);
    const double spacingPerMs = 1.0 / (size * intervalMs);
    const auto first = static_cast<int>(std::ceil(slowestPerMs / spacingPerMs));
    const auto last = std::min(size / 2, static_cast<int>(fastestPerMs / spacingPerMs));
    double most = 0.0;
    int peak = -1;
    for (int i = first; i <= last; ++i) {
        const auto value = spectrum.at<cv::Vec2d>(0, i);
        const double power = value[0] * value[0] + value[1] * value[1];
        if (power > most) {
            most = power;
            peak = i;
        }
    }
    // The strongest of all at the end of the range belongs to something slower or faster.
    if (peak <= first || peak >= last) {
        return std::nullopt;
    }
    return refined(residuals, timeMs, peak * spacingPerMs, spacingPerMs);
}

// The beat that all holds share at a frequency, each in units of its level.
std::optional<Waveform> fittedWave(std::span<const float> light, std::span<const double> timeMs,
    const std::vector<Hold>& holds, double perMs)
{
    constexpr int size = 2 * harmonics;
    cv::Mat normal = cv::Mat::zeros(size, size, CV_64F);
    cv::Mat right = cv::Mat::zeros(size, 1, CV_64F);
    for (const Hold& hold : holds) {
        for (const std::size_t k : hold.frames) {
            std::array<double, size> row {};
            for (int j = 0; j < harmonics; ++j) {
                const double angle = 2.0 * std::numbers::pi * (j + 1) * perMs * timeMs[k];
                row[static_cast<std::size_t>(2 * j)] = hold.level * std::cos(angle);
                row[static_cast<std::size_t>(2 * j + 1)] = hold.level * std::sin(angle);
            }
            const double y = static_cast<double>(light[k]) - hold.level;
            for (int a = 0; a < size; ++a) {
                right.at<double>(a) += row[static_cast<std::size_t>(a)] * y;
                for (int b = 0; b < size; ++b) {
                    normal.at<double>(a, b)
                        += row[static_cast<std::size_t>(a)] * row[static_cast<std::size_t>(b)];
                }
            }
        }
    }
    cv::Mat solution;
    if (!cv::solve(normal, right, solution, cv::DECOMP_CHOLESKY)) {
        return std::nullopt;
    }
    Waveform wave {};
    for (int a = 0; a < size; ++a) {
        wave[static_cast<std::size_t>(a)] = solution.at<double>(a);
    }
    return wave;
}

// Levels under the beat: a hold of a part of a period has another mean than its level.
void relevel(std::span<const float> light, std::span<const double> timeMs, double perMs,
    const Waveform& wave, std::vector<Hold>& holds)
{
    for (Hold& hold : holds) {
        double xx = 0.0;
        double xy = 0.0;
        for (const std::size_t k : hold.frames) {
            const double x = 1.0 + swingAt(wave, perMs * timeMs[k]);
            xx += x * x;
            xy += x * static_cast<double>(light[k]);
        }
        hold.level = xx > 0.0 ? xy / xx : hold.level;
    }
}

// Share of the variance about each hold's own mean that the beat explains.
double explainedShare(std::span<const float> light, std::span<const double> timeMs, double perMs,
    const Waveform& wave, const std::vector<Hold>& holds)
{
    double all = 0.0;
    double left = 0.0;
    for (const Hold& hold : holds) {
        double mean = 0.0;
        for (const std::size_t k : hold.frames) {
            mean += static_cast<double>(light[k]) / static_cast<double>(hold.frames.size());
        }
        for (const std::size_t k : hold.frames) {
            const auto y = static_cast<double>(light[k]);
            const double miss = y - hold.level * (1.0 + swingAt(wave, perMs * timeMs[k]));
            all += (y - mean) * (y - mean);
            left += miss * miss;
        }
    }
    return all > 0.0 ? 1.0 - left / all : 0.0;
}

double quietMs(std::span<const double> timeMs, const std::vector<Hold>& holds)
{
    double sum = 0.0;
    for (const Hold& hold : holds) {
        sum += timeMs[hold.frames.back()] - timeMs[hold.frames.front()];
    }
    return sum;
}

PulseLight asPulses(double perMs, const Waveform& wave)
{
    PulseLight pulses;
    pulses.periodMs = 1.0 / perMs;
    pulses.isSlowBeat = perMs < slowPerMs;
    for (std::size_t b = 0; b < bins; ++b) {
        const double turns = (static_cast<double>(b) + 0.5) / static_cast<double>(bins);
        pulses.share.push_back(std::max(0.0, 1.0 + swingAt(wave, turns)));
    }
    return pulses;
}

} // namespace

std::optional<PulseLight> findSlowBeat(std::span<const float> light, std::span<const double> timeMs,
    std::span<const FrameRange> ranges, std::optional<double> knownMs)
{
    std::vector<Hold> holds = holdsOf(light, ranges);
    if (holds.size() < fewestHolds) {
        return std::nullopt;
    }
    constexpr int rounds = 3;
    std::optional<double> perMs;
    std::optional<Waveform> wave;
    for (int i = 0; i < rounds; ++i) {
        const std::vector<double> residuals = residualsOf(light, holds);
        perMs = knownMs
            ? refined(residuals, timeMs, 1.0 / *knownMs, 0.25 / (timeMs.back() - timeMs.front()))
            : strongestPerMs(residuals, timeMs);
        if (!perMs || quietMs(timeMs, holds) * *perMs < fewestPeriods) {
            return std::nullopt;
        }
        wave = fittedWave(light, timeMs, holds, *perMs);
        if (!wave) {
            return std::nullopt;
        }
        relevel(light, timeMs, *perMs, *wave, holds);
    }
    PulseLight pulses = asPulses(*perMs, *wave);
    const auto [least, most] = std::ranges::minmax(pulses.share);
    if (most - least < leastSwing
        || explainedShare(light, timeMs, *perMs, *wave, holds) < leastExplained) {
        return std::nullopt;
    }
    return pulses;
}

} // namespace twinlamp::trace
