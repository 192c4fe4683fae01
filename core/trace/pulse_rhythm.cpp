// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/pulse_rhythm.h"

#include "core/trace/noise.h"
#include "core/trace/periodic_power.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>
#include <vector>

namespace twinlamp::trace {

namespace {

constexpr double lineOverNoise = 60.0;
// Slower than this the link's own pictures and the tester's hand are taken for pulses.
constexpr double slowestMs = 25.0;

// Differences between neighbours; those of switching lamps held down, those across a missing frame
// left out.
std::vector<double> differences(std::span<const float> light)
{
    std::vector<double> step(light.size(), 0.0);
    std::vector<double> sizes;
    for (std::size_t k = 1; k < light.size(); ++k) {
        const double d = static_cast<double>(light[k]) - static_cast<double>(light[k - 1]);
        if (std::isfinite(d)) {
            step[k] = d;
            sizes.push_back(std::abs(d));
        }
    }
    if (sizes.empty()) {
        return step;
    }
    // Pulses fill a good part of the clip, edges a few frames of it.
    constexpr double quantile = 0.97;
    const auto at = sizes.begin()
        + static_cast<std::ptrdiff_t>(quantile * static_cast<double>(sizes.size() - 1));
    std::ranges::nth_element(sizes, at);
    for (double& d : step) {
        d = std::clamp(d, -*at, *at);
    }
    return step;
}

std::vector<double> powerSpectrum(const std::vector<double>& values)
{
    const int size = cv::getOptimalDFTSize(2 * static_cast<int>(values.size()));
    cv::Mat padded = cv::Mat::zeros(1, size, CV_64F);
    std::ranges::copy(values, padded.ptr<double>());
    cv::Mat spectrum;
    cv::dft(padded, spectrum, cv::DFT_COMPLEX_OUTPUT);
    std::vector<double> power(static_cast<std::size_t>(size / 2) + 1);
    for (std::size_t i = 0; i < power.size(); ++i) {
        const auto value = spectrum.at<cv::Vec2d>(0, static_cast<int>(i));
        power[i] = value[0] * value[0] + value[1] * value[1];
    }
    return power;
}

/// A spectrum and what stands out of it. Frequencies are in cycles per frame.
class Lines
{
public:
    explicit Lines(const std::vector<double>& values)
        : m_power(powerSpectrum(values))
    {
    }

    [[nodiscard]] double spacing() const { return 0.5 / static_cast<double>(m_power.size() - 1); }

    /// Frequency of the strongest line from `lowest` on.
    [[nodiscard]] std::optional<double> strongest(double lowest) const
    {
        const auto first = static_cast<std::size_t>(std::ceil(lowest / spacing()));
        if (first + 2 >= m_power.size()) {
            return std::nullopt;
        }
        const auto peak = static_cast<std::size_t>(
            std::max_element(m_power.begin() + static_cast<std::ptrdiff_t>(first), m_power.end())
            - m_power.begin());
        return isLine(peak) ? std::optional(static_cast<double>(peak) * spacing()) : std::nullopt;
    }

    /// Power at the highest point near a frequency, if that is a line.
    [[nodiscard]] std::optional<double> lineNear(double frequency) const
    {
        const auto centre = static_cast<std::ptrdiff_t>(std::lround(frequency / spacing()));
        const auto low = m_power.begin() + std::max<std::ptrdiff_t>(1, centre - 2);
        const auto high
            = m_power.begin() + std::min<std::ptrdiff_t>(std::ssize(m_power), centre + 3);
        if (low >= high) {
            return std::nullopt;
        }
        const auto peak = std::max_element(low, high);
        return isLine(static_cast<std::size_t>(peak - m_power.begin())) ? std::optional(*peak)
                                                                        : std::nullopt;
    }

private:
    [[nodiscard]] bool isLine(std::size_t at) const
    {
        constexpr std::size_t reach = 200;
        const std::size_t first = at - std::min(at, reach);
        const std::size_t last = std::min(m_power.size(), at + reach);
        const double around = medianOf(std::span(m_power).subspan(first, last - first));
        return m_power[at] > lineOverNoise * around;
    }

    std::vector<double> m_power;
};

// The frequency per ms at which the frames' true times agree best.
double refined(const std::vector<double>& values, std::span<const double> startMs, double perMs,
    double reachPerMs)
{
    double low = perMs - reachPerMs;
    double high = perMs + reachPerMs;
    constexpr double golden = 0.6180339887498949;
    constexpr int cuts = 28;
    for (int i = 0; i < cuts; ++i) {
        const double left = high - golden * (high - low);
        const double right = low + golden * (high - low);
        if (powerAt(values, startMs, left) > powerAt(values, startMs, right)) {
            high = right;
        } else {
            low = left;
        }
    }
    return 0.5 * (low + high);
}

} // namespace

std::optional<double> pulseRhythmMs(
    std::span<const float> light, std::span<const double> startMs, double frameIntervalMs)
{
    constexpr std::size_t fewestFrames = 64;
    if (light.size() < fewestFrames) {
        return std::nullopt;
    }
    const std::vector<double> steps = differences(light);
    const Lines lines(steps);
    auto frequency = lines.strongest(frameIntervalMs / slowestMs);
    if (!frequency) {
        return std::nullopt;
    }
    // Short pulses make harmonics stronger than the rhythm itself, in differences above all.
    constexpr double partOfStrongest = 0.02;
    const double power = *lines.lineNear(*frequency);
    const double strongest = *frequency;
    for (const int division : {2, 3, 4, 5, 6}) {
        const double lower = strongest / division;
        if (lower < frameIntervalMs / slowestMs) {
            break;
        }
        const auto line = lines.lineNear(lower);
        if (line && *line > partOfStrongest * power) {
            frequency = lower;
        }
    }
    const double perMs = refined(
        steps, startMs, *frequency / frameIntervalMs, 2.0 * lines.spacing() / frameIntervalMs);
    return std::max(2.0 * frameIntervalMs, 1.0 / perMs);
}

} // namespace twinlamp::trace
