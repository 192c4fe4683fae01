// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/pairing.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace twinlamp::measure {

namespace {

// Log probability of an edge without partner on either side: losing a frame is rare, but a wrong
// partner is worse.
constexpr double logNoPartner = -5.0;
// Latencies of one clip scatter by frame intervals: a mode narrower than this would be trusted too
// much.
constexpr double leastScatterMs = 6.0;

struct LatencyModel
{
    double modeMs = 0.0;
    double scatterMs = leastScatterMs;
};

std::vector<double> possibleLatencies(std::span<const TimedEdge> lamp,
    std::span<const TimedEdge> goggle, const PairingOptions& options)
{
    std::vector<double> latencies;
    for (const TimedEdge& reference : lamp) {
        for (const TimedEdge& answer : goggle) {
            const double latency = answer.timeMs - reference.timeMs;
            if (answer.edge == reference.edge && latency >= options.earliestMs
                && latency <= options.searchMs) {
                latencies.push_back(latency);
            }
        }
    }
    std::ranges::sort(latencies);
    return latencies;
}

// Densest stretch of the possible latencies: true partners agree, false ones do not.
LatencyModel latencyModel(const std::vector<double>& latencies)
{
    LatencyModel model;
    constexpr double windowMs = 12.0;
    std::size_t bestCount = 0;
    std::size_t last = 0;
    for (std::size_t first = 0; first < latencies.size(); ++first) {
        while (last < latencies.size() && latencies[last] <= latencies[first] + windowMs) {
            ++last;
        }
        if (last - first > bestCount) {
            bestCount = last - first;
            double sum = 0.0;
            for (std::size_t i = first; i < last; ++i) {
                sum += latencies[i];
            }
            model.modeMs = sum / static_cast<double>(bestCount);
        }
    }
    std::vector<double> deviations;
    for (const double latency : latencies) {
        if (std::abs(latency - model.modeMs) < 3.0 * windowMs) {
            deviations.push_back(std::abs(latency - model.modeMs));
        }
    }
    if (!deviations.empty()) {
        std::ranges::nth_element(
            deviations, deviations.begin() + static_cast<std::ptrdiff_t>(deviations.size() / 2));
        model.scatterMs = std::max(leastScatterMs, 1.4826 * deviations[deviations.size() / 2]);
    }
    return model;
}

double logSum(double a, double b)
{
    const double high = std::max(a, b);
    if (!std::isfinite(high)) {
        return high;
    }
    return high + std::log1p(std::exp(std::min(a, b) - high));
}

class PairTable
{
public:
    PairTable(std::span<const TimedEdge> lamp, std::span<const TimedEdge> goggle,
        const PairingOptions& options)
        : m_lamp(lamp)
        , m_goggle(goggle)
        , m_options(options)
        , m_model(latencyModel(possibleLatencies(lamp, goggle, options)))
        , m_width(goggle.size() + 1)
    {
    }

    [[nodiscard]] std::vector<Partner> solve() const
    {
        const std::vector<double> best = forward([](double a, double b) { return std::max(a, b); });
        const std::vector<double> before = forward(logSum);
        const std::vector<double> after = backward();
        const double all = before[m_lamp.size() * m_width + m_goggle.size()];
        std::vector<Partner> partners = traceBack(best);
        for (std::size_t i = 0; i < partners.size(); ++i) {
            double matched = -std::numeric_limits<double>::infinity();
            double chosen = matched;
            for (std::size_t j = 0; j < m_goggle.size(); ++j) {
                const double value
                    = before[i * m_width + j] + pair(i, j) + after[(i + 1) * m_width + j + 1];
                matched = logSum(matched, value);
                if (partners[i].answer == j) {
                    chosen = value;
                }
            }
            const double probability
                = partners[i].answer ? std::exp(chosen - all) : 1.0 - std::exp(matched - all);
            partners[i].probability = std::clamp(probability, 0.0, 1.0);
        }
        return partners;
    }

private:
    [[nodiscard]] double pair(std::size_t i, std::size_t j) const
    {
        const double latency = m_goggle[j].timeMs - m_lamp[i].timeMs;
        if (m_goggle[j].edge != m_lamp[i].edge || latency < m_options.earliestMs
            || latency > m_options.searchMs) {
            return -std::numeric_limits<double>::infinity();
        }
        const double z = (latency - m_model.modeMs) / m_model.scatterMs;
        // Tails of late frames are heavier than a normal curve: four deviations and more cost by
        // their distance only.
        return std::abs(z) < 2.0 ? -0.5 * z * z : -std::min(2.0 * std::abs(z) - 2.0, 8.0);
    }

    template<typename Combine>
    [[nodiscard]] std::vector<double> forward(const Combine& combine) const
    {
        std::vector<double> table(
            (m_lamp.size() + 1) * m_width, -std::numeric_limits<double>::infinity());
        table[0] = 0.0;
        for (std::size_t i = 0; i <= m_lamp.size(); ++i) {
            for (std::size_t j = 0; j < m_width; ++j) {
                double& cell = table[i * m_width + j];
                if (i > 0) {
                    cell = combine(cell, table[(i - 1) * m_width + j] + logNoPartner);
                }
                if (j > 0) {
                    cell = combine(cell, table[i * m_width + j - 1] + logNoPartner);
                }
                if (i > 0 && j > 0) {
                    cell = combine(cell, table[(i - 1) * m_width + j - 1] + pair(i - 1, j - 1));
                }
            }
        }
        return table;
    }

    [[nodiscard]] std::vector<double> backward() const
    {
        std::vector<double> table(
            (m_lamp.size() + 1) * m_width, -std::numeric_limits<double>::infinity());
        table.back() = 0.0;
        for (std::size_t i = m_lamp.size() + 1; i-- > 0;) {
            for (std::size_t j = m_width; j-- > 0;) {
                double& cell = table[i * m_width + j];
                if (i < m_lamp.size()) {
                    cell = logSum(cell, table[(i + 1) * m_width + j] + logNoPartner);
                }
                if (j + 1 < m_width) {
                    cell = logSum(cell, table[i * m_width + j + 1] + logNoPartner);
                }
                if (i < m_lamp.size() && j + 1 < m_width) {
                    cell = logSum(cell, table[(i + 1) * m_width + j + 1] + pair(i, j));
                }
            }
        }
        return table;
    }

    [[nodiscard]] std::vector<Partner> traceBack(const std::vector<double>& best) const
    {
        std::vector<Partner> partners(m_lamp.size());
        std::size_t i = m_lamp.size();
        std::size_t j = m_goggle.size();
        while (i > 0) {
            const double here = best[i * m_width + j];
            constexpr double same = 1e-9;
            if (j > 0
                && std::abs(here - (best[(i - 1) * m_width + j - 1] + pair(i - 1, j - 1))) < same) {
                partners[i - 1].answer = j - 1;
                --i;
                --j;
            } else if (std::abs(here - (best[(i - 1) * m_width + j] + logNoPartner)) < same) {
                --i;
            } else {
                --j;
            }
        }
        return partners;
    }

    std::span<const TimedEdge> m_lamp;
    std::span<const TimedEdge> m_goggle;
    PairingOptions m_options;
    LatencyModel m_model;
    std::size_t m_width;
};

} // namespace

std::vector<Partner> pairEdges(std::span<const TimedEdge> lamp, std::span<const TimedEdge> goggle,
    const PairingOptions& options)
{
    if (lamp.empty()) {
        return {};
    }
    return PairTable(lamp, goggle, options).solve();
}

} // namespace twinlamp::measure
