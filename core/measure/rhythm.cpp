// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/rhythm.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace twinlamp::measure {

namespace {

constexpr std::size_t fewestInstants = 8;
// More instants than this make the search long and the figure no better than it need be.
constexpr std::size_t mostInstants = 48;
constexpr double clearCoherence = 0.85;
// Causes that keep to an interval by as much are taken for its reason. 8 unrelated ones do so once
// in 50 times, 24 never.
constexpr double handedOnCoherence = 0.7;
// Chance that unrelated instants are taken for a rhythm.
constexpr double falseRhythm = 1e-3;
// Steps of the frequency search in parts of a turn over the whole span.
constexpr double stepsPerTurn = 8.0;

class Coherence
{
public:
    explicit Coherence(std::span<const double> instantsMs)
        : m_instants(instantsMs.begin(), instantsMs.end())
    {
        if (!m_instants.empty()) {
            const auto [first, last] = std::ranges::minmax(m_instants);
            m_first = first;
            m_span = last - first;
        }
    }

    [[nodiscard]] double spanMs() const { return m_span; }

    /// @param frequency  per ms
    [[nodiscard]] double at(double frequency) const
    {
        double x = 0.0;
        double y = 0.0;
        for (const double instant : m_instants) {
            const double phase = 2.0 * std::numbers::pi * (instant - m_first) * frequency;
            x += std::cos(phase);
            y += std::sin(phase);
        }
        return std::hypot(x, y) / static_cast<double>(m_instants.size());
    }

    /// Climbs from a frequency to the top of its peak.
    [[nodiscard]] double topNear(double frequency, double step) const
    {
        double best = at(frequency);
        constexpr int halvings = 10;
        double fine = step;
        for (int i = 0; i < halvings; ++i) {
            fine *= 0.5;
            for (const double other : {frequency - fine, frequency + fine}) {
                const double value = at(other);
                if (value > best) {
                    best = value;
                    frequency = other;
                }
            }
        }
        return frequency;
    }

private:
    std::vector<double> m_instants;
    double m_first = 0.0;
    double m_span = 0.0;
};

// What the best of all intervals tried reaches by chance: each one's R^2 n is exponential under the
// null (Rayleigh).
double neededCoherence(double spanMs, RhythmRange range, double n)
{
    const double tried = std::max(1.0, spanMs * (1.0 / range.shortestMs - 1.0 / range.longestMs));
    return std::max(clearCoherence, std::sqrt(std::log(tried / falseRhythm) / n));
}

// The longest interval, by rising frequency, that is as coherent as the best: halves and thirds of
// it are hardly less so, and an unrelated one that happens to be coherent is clearly less.
std::size_t longestAsGood(const std::vector<double>& values, double best)
{
    constexpr double asGood = 0.02;
    std::size_t i = 0;
    while (values[i] < best - asGood) {
        ++i;
    }
    // From the foot of its peak to its top.
    while (i + 1 < values.size() && values[i + 1] >= values[i]) {
        ++i;
    }
    return i;
}

} // namespace

std::optional<Interval> commonRhythm(
    std::span<const double> instantsMs, RhythmRange range, std::span<const double> causesMs)
{
    if (instantsMs.size() < fewestInstants) {
        return std::nullopt;
    }
    const Coherence coherence(instantsMs.first(std::min(mostInstants, instantsMs.size())));
    const Coherence causes(causesMs.first(std::min(mostInstants, causesMs.size())));
    const bool hasCauses = causesMs.size() >= fewestInstants;
    const double step = 1.0 / (stepsPerTurn * coherence.spanMs());
    const auto n = static_cast<double>(std::min(mostInstants, instantsMs.size()));
    const double needed = neededCoherence(coherence.spanMs(), range, n);
    const double lowest = 1.0 / range.longestMs;
    const auto steps = static_cast<int>((1.0 / range.shortestMs - lowest) / step);
    std::vector<double> values;
    for (int i = 0; i <= steps; ++i) {
        const double value = coherence.at(lowest + i * step);
        const bool isHandedOn
            = value >= needed && hasCauses && causes.at(lowest + i * step) >= handedOnCoherence;
        values.push_back(isHandedOn ? 0.0 : value);
    }
    const double best = values.empty() ? 0.0 : *std::ranges::max_element(values);
    if (best < needed) {
        return std::nullopt;
    }
    const double found = lowest + step * static_cast<double>(longestAsGood(values, best));
    const double frequency = coherence.topNear(found, step);
    const double interval = 1.0 / frequency;
    const double phaseDeviation
        = std::sqrt(-2.0 * std::log(std::min(coherence.at(frequency), 1.0 - 1e-9)));
    const double scatterMs = phaseDeviation * interval / (2.0 * std::numbers::pi);
    // Slope of a line through n evenly spread instants.
    return Interval {interval, scatterMs * interval / coherence.spanMs() * std::sqrt(12.0 / n)};
}

} // namespace twinlamp::measure
