// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/single_pulses.h"

#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace twinlamp::trace {

namespace {

/// Frames of one pulse: a run that stands out of the dark.
struct Run
{
    std::size_t first = 0;
    std::size_t last = 0; ///< not part of it
};

/// What the trace is like as a whole.
struct Range
{
    double floor = 0.0;
    double height = 0.0; ///< of the brightest frames above it
};

Range rangeOf(std::span<const float> light)
{
    std::vector<float> finite;
    std::ranges::copy_if(
        light, std::back_inserter(finite), [](float v) { return std::isfinite(v); });
    if (finite.empty()) {
        return {};
    }
    std::ranges::sort(finite);
    const auto quantile = [&](double q) {
        return static_cast<double>(
            finite[static_cast<std::size_t>(q * static_cast<double>(finite.size() - 1))]);
    };
    const double floor = quantile(0.2);
    return {floor, quantile(0.98) - floor};
}

std::vector<Run> runsOf(std::span<const float> light, const Range& range)
{
    // A lamp that is off leaves the pulses of a dim picture: a fiftieth of the bright ones is seen.
    const double threshold = range.floor + 0.02 * range.height;
    std::vector<Run> runs;
    for (std::size_t k = 0; k < light.size(); ++k) {
        if (!(static_cast<double>(light[k]) > threshold)) {
            continue;
        }
        if (runs.empty() || runs.back().last != k) {
            runs.push_back({k, k});
        }
        runs.back().last = k + 1;
    }
    return runs;
}

/// Fits pulses of one length to runs of frames.
class PulseFitting
{
public:
    PulseFitting(std::span<const float> light, std::span<const double> timeMs, double floor,
        double exposureMs)
        : m_light(light)
        , m_timeMs(timeMs)
        , m_floor(floor)
        , m_exposureMs(exposureMs)
    {
    }

    struct Fit
    {
        SinglePulse pulse;
        double squares = std::numeric_limits<double>::infinity();
    };

    /// Start and height that explain a run and the frames beside it best.
    [[nodiscard]] Fit at(Run run, double litMs) const
    {
        const std::size_t first = run.first - std::min<std::size_t>(run.first, 1);
        const std::size_t last = std::min(run.last + 1, m_light.size());
        const double low = m_timeMs[run.first] - litMs;
        const double high = m_timeMs[run.last - 1] + m_exposureMs;
        constexpr int steps = 80;
        Fit best;
        for (int i = 0; i <= steps; ++i) {
            const Fit fit = heightAt(first, last, low + (high - low) * i / steps, litMs);
            best = fit.squares < best.squares ? fit : best;
        }
        return best;
    }

private:
    [[nodiscard]] Fit heightAt(
        std::size_t first, std::size_t last, double startMs, double litMs) const
    {
        double xx = 0.0;
        double xy = 0.0;
        double yy = 0.0;
        for (std::size_t k = first; k < last; ++k) {
            const double y = static_cast<double>(m_light[k]) - m_floor;
            if (std::isfinite(y)) {
                const double x = litPart(m_timeMs[k], m_exposureMs, startMs, litMs);
                xx += x * x;
                xy += x * y;
                yy += y * y;
            }
        }
        return xx > 0.0 ? Fit {{startMs, xy / xx}, yy - xy * xy / xx} : Fit {};
    }

    std::span<const float> m_light;
    std::span<const double> m_timeMs;
    double m_floor;
    double m_exposureMs;
};

/// Length of the pulses and exposure of the frames that saw them.
struct Lengths
{
    double litMs = 0.0;
    double exposureMs = 0.0;
    double score = std::numeric_limits<double>::infinity();
};

// How unlike neighbouring pulses come out, and how badly they fit: medians, for most neighbours are
// of one state of the lamp.
double unlikeness(const PulseFitting& fitting, std::span<const Run> runs, double litMs)
{
    std::vector<double> heights;
    std::vector<double> misses;
    for (const Run& run : runs) {
        const auto fit = fitting.at(run, litMs);
        heights.push_back(fit.pulse.height);
        misses.push_back(fit.squares / std::max(1e-12, fit.pulse.height * fit.pulse.height));
    }
    std::vector<double> steps;
    for (std::size_t i = 1; i < heights.size(); ++i) {
        steps.push_back(
            std::abs(heights[i] - heights[i - 1]) / std::max(1e-12, heights[i] + heights[i - 1]));
    }
    return std::sqrt(medianOf(misses)) + medianOf(steps);
}

// The length, and the exposure where it is not known for sure, under which pulses of one light come
// out equally high wherever the frames cut them: two frames alone agree with any length.
Lengths commonLengths(std::span<const float> light, std::span<const double> timeMs,
    const std::vector<Run>& runs, double floor, const PulseClock& clock)
{
    constexpr std::size_t most = 80;
    const auto some = std::span(runs).first(std::min(most, runs.size()));
    Lengths best;
    for (const double exposureMs : clock.exposuresMs) {
        const PulseFitting fitting(light, timeMs, floor, exposureMs);
        constexpr int lengths = 32;
        for (int i = 1; i <= lengths; ++i) {
            const double litMs = 0.6 * clock.periodMs * i / lengths;
            const double score = unlikeness(fitting, some, litMs);
            if (score < best.score) {
                best = {litMs, exposureMs, score};
            }
        }
    }
    return best;
}

// Pulses that were too dim to be seen, between those that were.
void fillIn(std::vector<SinglePulse>& pulses, double periodMs)
{
    std::vector<SinglePulse> filled;
    for (const SinglePulse& pulse : pulses) {
        if (!filled.empty()) {
            const double from = filled.back().startMs;
            const auto missing
                = static_cast<int>(std::lround((pulse.startMs - from) / periodMs)) - 1;
            for (int i = 1; i <= missing; ++i) {
                filled.push_back({from + (pulse.startMs - from) * i / (missing + 1), 0.0});
            }
        }
        filled.push_back(pulse);
    }
    pulses = std::move(filled);
}

// Whether frames that no pulse lights are dark.
bool isDarkBetween(std::span<const float> light, std::span<const double> timeMs,
    const SinglePulses& found, const Range& range)
{
    std::size_t next = 0;
    std::size_t lit = 0;
    std::size_t dark = 0;
    for (std::size_t k = 0; k < light.size(); ++k) {
        while (next < found.pulses.size() && found.pulses[next].startMs + found.litMs < timeMs[k]) {
            ++next;
        }
        const bool isLit = next < found.pulses.size()
            && found.pulses[next].startMs < timeMs[k] + found.exposureMs;
        if (!isLit && std::isfinite(light[k])) {
            ++dark;
            constexpr double leftOver = 0.05;
            lit += static_cast<double>(light[k]) > range.floor + leftOver * range.height ? 1U : 0U;
        }
    }
    constexpr double mostLit = 0.02;
    return 4 * dark > light.size()
        && static_cast<double>(lit) <= mostLit * static_cast<double>(dark);
}

} // namespace

double litPart(double exposureStartMs, double exposureMs, double fromMs, double litMs)
{
    const double overlap = std::min(exposureStartMs + exposureMs, fromMs + litMs)
        - std::max(exposureStartMs, fromMs);
    return exposureMs > 0.0 ? std::max(0.0, overlap) / exposureMs : 0.0;
}

std::optional<SinglePulses> findSinglePulses(
    std::span<const float> light, std::span<const double> timeMs, const PulseClock& clock)
{
    const Range range = rangeOf(light);
    const std::vector<Run> runs = runsOf(light, range);
    constexpr std::size_t fewest = 10;
    if (range.height <= 0.0 || runs.size() < fewest) {
        return std::nullopt;
    }
    // A pulse lights its own length and the frame that it ends in. What mostly stays lit for
    // periods is no train of pulses, and need not be fitted as one.
    constexpr double mostPeriods = 3.0;
    std::vector<double> lengthsMs;
    for (const Run& run : runs) {
        lengthsMs.push_back(timeMs[run.last - 1] - timeMs[run.first]);
    }
    if (medianOf(lengthsMs) > mostPeriods * clock.periodMs) {
        return std::nullopt;
    }
    const Lengths lengths = commonLengths(light, timeMs, runs, range.floor, clock);
    const PulseFitting fitting(light, timeMs, range.floor, lengths.exposureMs);
    SinglePulses found {lengths.litMs, lengths.exposureMs, range.floor, {}};
    for (const Run& run : runs) {
        const SinglePulse pulse = fitting.at(run, found.litMs).pulse;
        constexpr double nearest = 0.5;
        if (!found.pulses.empty()
            && pulse.startMs - found.pulses.back().startMs < nearest * clock.periodMs) {
            return std::nullopt; // more than one run to a period: no single pulses
        }
        found.pulses.push_back(pulse);
    }
    fillIn(found.pulses, clock.periodMs);
    return isDarkBetween(light, timeMs, found, range) ? std::optional(std::move(found))
                                                      : std::nullopt;
}

} // namespace twinlamp::trace
