// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/shape_fit.h"

#include "core/trace/noise.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace twinlamp::onset {

namespace {

// At most this many answers decide about the shape: more would not sharpen it, only cost.
constexpr std::size_t shapeAnswers = 24;

double squaresOf(const TimedTrace& trace, std::span<const AnswerWindow> windows,
    std::span<const double> delays, const StepShape& shape, double slope)
{
    const SplitTables table(shape, trace.camera.exposureMs, slope);
    std::vector<double> squares;
    for (const AnswerWindow& window : windows) {
        const auto fit = fitAnswer(trace, window, table, delays);
        squares.push_back(fit ? fit->relativeSquares() : 1.0);
    }
    constexpr double mostOfMedian = 4.0;
    return cappedSum(squares, mostOfMedian);
}

struct ShapeScore
{
    StepShape shape;
    double squares = std::numeric_limits<double>::infinity();
};

class ShapeSearch
{
public:
    ShapeSearch(const TimedTrace& trace, std::span<const AnswerWindow> windows,
        std::span<const double> delays, double slope)
        : m_trace(trace)
        , m_windows(windows)
        , m_delays(delays)
        , m_slope(slope)
    {
    }

    ShapeScore score(const StepShape& shape)
    {
        m_seen.push_back({shape, squaresOf(m_trace, m_windows, m_delays, shape, m_slope)});
        return m_seen.back();
    }

    /// Walks from a shape to the best one near it.
    /// @param rampFixed  only the response may change
    ShapeScore walkFrom(ShapeScore best, bool rampFixed)
    {
        double rampStep = rampFixed ? 0.0 : std::max(0.25, 0.3 * best.shape.rampMs);
        double tauStep = std::max(0.15, 0.3 * best.shape.tauMs);
        constexpr std::array<std::array<double, 2>, 6> ways {
            {{0, 1}, {0, -1}, {1, 0}, {-1, 0}, {1, -1}, {-1, 1}}};
        const std::size_t tried = rampFixed ? 2 : ways.size();
        constexpr int rounds = 7;
        for (int round = 0; round < rounds; ++round) {
            bool better = false;
            for (std::size_t i = 0; i < tried; ++i) {
                const StepShape shape {std::max(0.0, best.shape.rampMs + ways[i][0] * rampStep),
                    std::max(0.0, best.shape.tauMs + ways[i][1] * tauStep), best.shape.weights};
                const ShapeScore other = shape == best.shape ? best : score(shape);
                if (other.squares < best.squares) {
                    best = other;
                    better = true;
                }
            }
            if (!better) {
                rampStep *= 0.5;
                tauStep *= 0.5;
            }
        }
        return best;
    }

    [[nodiscard]] const std::vector<ShapeScore>& seen() const { return m_seen; }

private:
    const TimedTrace& m_trace;
    std::span<const AnswerWindow> m_windows;
    std::span<const double> m_delays;
    double m_slope;
    std::vector<ShapeScore> m_seen;
};

constexpr std::array usualTaus {0.0, 0.3, 0.8, 1.8, 4.0};

ShapeScore bestShape(ShapeSearch& search, const StepShape& hint)
{
    constexpr std::array ramps {0.0, 0.5, 1.0, 2.0, 3.5, 5.5, 8.0};
    std::vector<ShapeScore> starts {search.score(hint)};
    for (const double ramp : ramps) {
        for (const double tau : usualTaus) {
            starts.push_back(search.score({ramp, tau, hint.weights}));
        }
    }
    std::ranges::sort(starts, {}, &ShapeScore::squares);
    // The best point of a coarse grid may lie in the wrong valley.
    const ShapeScore first = search.walkFrom(starts[0], false);
    const ShapeScore second = search.walkFrom(starts[1], false);
    return first.squares <= second.squares ? first : second;
}

ShapeScore bestResponse(ShapeSearch& search, const StepShape& hint, double rampMs)
{
    ShapeScore best = search.score({rampMs, hint.tauMs, hint.weights});
    for (const double tau : usualTaus) {
        const ShapeScore other = search.score({rampMs, tau, hint.weights});
        best = other.squares < best.squares ? other : best;
    }
    best = search.walkFrom(best, true);
    // What is known of the ramp is known to a few parts in a hundred.
    constexpr double rampDoubt = 0.03;
    for (const double part : {1.0 - rampDoubt, 1.0 + rampDoubt}) {
        search.walkFrom(search.score({part * rampMs, best.shape.tauMs, hint.weights}), true);
    }
    return best;
}

// At most so many windows, spread over the clip so that drift does not pick them.
std::vector<AnswerWindow> someOf(std::span<const AnswerWindow> windows)
{
    if (windows.size() <= shapeAnswers) {
        return {windows.begin(), windows.end()};
    }
    std::vector<AnswerWindow> spread;
    for (std::size_t i = 0; i < shapeAnswers; ++i) {
        spread.push_back(windows[i * windows.size() / shapeAnswers]);
    }
    return spread;
}

// Shapes that fit nearly as well: how far do they move the 10 % time of a typical answer?
double firstLightDoubt(const TimedTrace& trace, std::span<const AnswerWindow> windows,
    std::span<const double> delays, const ShapeSearch& search, const ShapeScore& best)
{
    double frames = 0.0;
    for (const AnswerWindow& window : windows) {
        frames += static_cast<double>(window.lastFrame - window.firstFrame) - 3.0;
    }
    // Codecs repeat quiet pictures without noise but do not render light in between this exactly.
    constexpr double leastNoise = 0.003;
    // And what they do wrong they do in every answer alike, so that many answers do not average it
    // away.
    constexpr double alikeInAll = 0.003;
    const double unit = std::max(best.squares / std::max(1.0, frames), leastNoise * leastNoise)
        + alikeInAll * alikeInAll * static_cast<double>(windows.size());
    const double exposure = trace.camera.exposureMs;
    for (const AnswerWindow& window : windows) {
        const auto typical = fitAnswer(trace, window, ShapeTable(best.shape, exposure), delays);
        if (!typical) {
            continue;
        }
        const double bestTime = crossingMs(*typical, best.shape, 0.1);
        double weight = 0.0;
        double squares = 0.0;
        for (const ShapeScore& score : search.seen()) {
            const double w = std::exp(-0.5 * (score.squares - best.squares) / unit);
            constexpr double leastWeight = 1e-3;
            if (w < leastWeight) {
                continue;
            }
            const ShapeTable table(score.shape, exposure);
            if (const auto other = fitAnswer(trace, window, table, delays)) {
                const double difference = crossingMs(*other, score.shape, 0.1) - bestTime;
                squares += w * difference * difference;
                weight += w;
            }
        }
        return weight > 0.0 ? std::sqrt(squares / weight) : 0.0;
    }
    return 0.0;
}

} // namespace

double cappedSum(std::span<const double> values, double mostOfMedian)
{
    const double limit = mostOfMedian * trace::medianOf({values.begin(), values.end()});
    double sum = 0.0;
    for (const double value : values) {
        sum += std::min(value, limit);
    }
    return sum;
}

ShapeFit fitShape(const TimedTrace& trace, std::span<const AnswerWindow> windows,
    std::span<const double> delays, const StepShape& hint, std::optional<double> rampMs,
    double slope)
{
    const std::vector<AnswerWindow> chosen = someOf(windows);
    ShapeSearch search(trace, chosen, delays, slope);
    const ShapeScore best = rampMs ? bestResponse(search, hint, *rampMs) : bestShape(search, hint);
    return {best.shape, firstLightDoubt(trace, chosen, delays, search, best), best.squares};
}

double shapeSquares(const TimedTrace& trace, std::span<const AnswerWindow> windows,
    std::span<const double> delays, const StepShape& shape, double slope)
{
    return squaresOf(trace, someOf(windows), delays, shape, slope);
}

} // namespace twinlamp::onset
