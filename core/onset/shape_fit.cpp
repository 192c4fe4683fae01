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
                    std::max(0.0, best.shape.tauMs + ways[i][1] * tauStep), best.shape.weights,
                    best.shape.overshoot};
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

    [[nodiscard]] double frameMs() const { return m_trace.camera.frameIntervalMs; }

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

constexpr double partOfFrame = 0.12;
constexpr double leastRampDoubt = 0.03;
constexpr double mostRampDoubt = 0.6;

ShapeScore bestResponse(ShapeSearch& search, const StepShape& hint, double rampMs)
{
    ShapeScore best = search.score({rampMs, hint.tauMs, hint.weights});
    for (const double tau : usualTaus) {
        const ShapeScore other = search.score({rampMs, tau, hint.weights});
        best = other.squares < best.squares ? other : best;
    }
    best = search.walkFrom(best, true);
    // What is known of the ramp is known to a few parts in a hundred, and to a part of a frame.
    const double rampDoubt = std::clamp(
        partOfFrame * search.frameMs() / std::max(rampMs, 1e-3), leastRampDoubt, mostRampDoubt);
    for (const double part : {1.0 - rampDoubt, 1.0 + rampDoubt}) {
        search.walkFrom(search.score({part * rampMs, best.shape.tauMs, hint.weights}), true);
    }
    return best;
}

// A panel that is driven too far comes back with its next redraw, or after a time of its own.
ShapeScore withOvershoot(
    ShapeSearch& search, const ShapeScore& plain, std::span<const double> delays, bool rampFixed)
{
    std::vector<double> backs {1.5, 3.0, 6.0};
    for (const double delay : delays) {
        if (delay > 0.0) {
            backs.push_back(delay);
        }
    }
    ShapeScore best = plain;
    for (const double backMs : backs) {
        for (const double share : {0.08, 0.2, 0.4}) {
            StepShape shape = plain.shape;
            shape.overshoot = {share, backMs};
            const ShapeScore other = search.score(shape);
            best = other.squares < best.squares ? other : best;
        }
    }
    constexpr double worthASearch = 0.9;
    if (best.squares > worthASearch * plain.squares) {
        return plain;
    }
    double shareStep = 0.5;
    double backStep = 0.2;
    constexpr int rounds = 5;
    for (int round = 0; round < rounds; ++round) {
        best = search.walkFrom(best, rampFixed);
        for (const auto& [share, back] :
            {std::array {1.0 + shareStep, 1.0}, std::array {1.0 / (1.0 + shareStep), 1.0},
                std::array {1.0, 1.0 + backStep}, std::array {1.0, 1.0 / (1.0 + backStep)}}) {
            StepShape shape = best.shape;
            shape.overshoot.share *= share;
            shape.overshoot.backMs *= back;
            const ShapeScore other = search.score(shape);
            best = other.squares < best.squares ? other : best;
        }
        shareStep *= 0.5;
        backStep *= 0.5;
    }
    // Two numbers more fit everything a little better.
    constexpr double clearlyLess = 0.75;
    return best.squares < clearlyLess * plain.squares ? best : plain;
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

// Misses of a shape that count as one standard deviation, squared.
double unitSquares(std::span<const AnswerWindow> windows, const ShapeScore& best)
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
    return std::max(best.squares / std::max(1.0, frames), leastNoise * leastNoise)
        + alikeInAll * alikeInAll * static_cast<double>(windows.size());
}

// The 10 % times of a few answers under one shape.
std::vector<double> firstLights(const TimedTrace& trace, std::span<const AnswerWindow> windows,
    std::span<const double> delays, const StepShape& shape)
{
    constexpr std::size_t answers = 5;
    const ShapeTable table(shape, trace.camera.exposureMs);
    const std::size_t some = std::min(answers, windows.size());
    std::vector<double> times;
    for (std::size_t i = 0; i < some; ++i) {
        const auto fit = fitAnswer(trace, windows[i * windows.size() / some], table, delays);
        times.push_back(
            fit ? crossingMs(*fit, shape, 0.1) : std::numeric_limits<double>::quiet_NaN());
    }
    return times;
}

double medianDifference(const std::vector<double>& times, const std::vector<double>& others)
{
    std::vector<double> differences;
    for (std::size_t i = 0; i < times.size(); ++i) {
        if (std::isfinite(times[i] - others[i])) {
            differences.push_back(times[i] - others[i]);
        }
    }
    return differences.empty() ? 0.0 : trace::medianOf(differences);
}

/// A shape that explains the answers nearly as well as the best one.
struct NearShape
{
    ShapeScore score;
    double deviations = 0.0; ///< how much worse, in standard deviations
    double shiftMs = 0.0; ///< of first light
};

std::vector<NearShape> nearShapes(const TimedTrace& trace, std::span<const AnswerWindow> windows,
    std::span<const double> delays, const ShapeSearch& search, const ShapeScore& best)
{
    const double unit = unitSquares(windows, best);
    const std::vector<double> bestTimes = firstLights(trace, windows, delays, best.shape);
    constexpr double farthest = 3.0;
    std::vector<NearShape> near;
    for (const ShapeScore& score : search.seen()) {
        const double deviations = std::sqrt(std::max(0.0, score.squares - best.squares) / unit);
        if (deviations < farthest) {
            near.push_back({score, deviations,
                medianDifference(firstLights(trace, windows, delays, score.shape), bestTimes)});
        }
    }
    return near;
}

// Where footage does not tell a shape, all that explain it are as likely: the one in the middle is
// least wrong, and the others say by how much it may be.
ShapeFit middleShape(const std::vector<NearShape>& near, const ShapeScore& best)
{
    double earliest = 0.0;
    double latest = 0.0;
    for (const NearShape& shape : near) {
        if (shape.deviations <= 1.0) {
            earliest = std::min(earliest, shape.shiftMs);
            latest = std::max(latest, shape.shiftMs);
        }
    }
    const double middle = 0.5 * (earliest + latest);
    NearShape chosen {best, 0.0, 0.0};
    for (const NearShape& shape : near) {
        if (shape.deviations <= 1.0
            && std::abs(shape.shiftMs - middle) < std::abs(chosen.shiftMs - middle)) {
            chosen = shape;
        }
    }
    double standard = 0.0;
    for (const NearShape& shape : near) {
        standard = std::max(
            standard, std::abs(shape.shiftMs - chosen.shiftMs) / std::max(1.0, shape.deviations));
    }
    return {chosen.score.shape, standard, chosen.score.squares};
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
    StepShape start = hint;
    start.overshoot = {};
    const ShapeScore plain
        = rampMs ? bestResponse(search, start, *rampMs) : bestShape(search, start);
    const ShapeScore best = withOvershoot(search, plain, delays, rampMs.has_value());
    return middleShape(nearShapes(trace, chosen, delays, search, best), best);
}

double shapeSquares(const TimedTrace& trace, std::span<const AnswerWindow> windows,
    std::span<const double> delays, const StepShape& shape, double slope)
{
    return squaresOf(trace, someOf(windows), delays, shape, slope);
}

} // namespace twinlamp::onset
