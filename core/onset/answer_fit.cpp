// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/answer_fit.h"

#include "core/trace/noise.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace twinlamp::onset {

namespace {

// Levels and steps for one start and delay, and what they leave.
struct LinearFit
{
    double before = 0.0;
    double first = 0.0;
    double second = 0.0;
    double squares = std::numeric_limits<double>::infinity();
};

// Running sums of a three-column linear model: constant, first step, second step.
struct Moments
{
    double n = 0.0, y = 0.0, yy = 0.0;
    double a = 0.0, aa = 0.0, ay = 0.0;
    double b = 0.0, bb = 0.0, by = 0.0, ab = 0.0;

    void add(double light, double firstShare, double secondShare)
    {
        n += 1.0;
        y += light;
        yy += light * light;
        a += firstShare;
        aa += firstShare * firstShare;
        ay += firstShare * light;
        b += secondShare;
        bb += secondShare * secondShare;
        by += secondShare * light;
        ab += firstShare * secondShare;
    }
};

LinearFit oneStep(const Moments& m, double sign)
{
    const double saa = m.aa - m.a * m.a / m.n;
    const double say = m.ay - m.a * m.y / m.n;
    const double syy = m.yy - m.y * m.y / m.n;
    if (saa < 1e-9 || sign * say <= 0.0) {
        return {m.y / m.n, 0.0, 0.0, syy};
    }
    const double step = say / saa;
    return {(m.y - step * m.a) / m.n, step, 0.0, std::max(0.0, syy - step * say)};
}

LinearFit twoSteps(const Moments& m, double sign)
{
    const LinearFit single = oneStep(m, sign);
    const double saa = m.aa - m.a * m.a / m.n;
    const double sbb = m.bb - m.b * m.b / m.n;
    const double sab = m.ab - m.a * m.b / m.n;
    const double say = m.ay - m.a * m.y / m.n;
    const double sby = m.by - m.b * m.y / m.n;
    const double determinant = saa * sbb - sab * sab;
    if (saa < 1e-9 || sbb < 1e-9 || determinant < 1e-6 * saa * sbb) {
        return single;
    }
    const double first = (sbb * say - sab * sby) / determinant;
    const double second = (saa * sby - sab * say) / determinant;
    if (sign * first <= 0.0 || sign * second <= 0.0) {
        return single;
    }
    const double syy = m.yy - m.y * m.y / m.n;
    return {(m.y - first * m.a - second * m.b) / m.n, first, second,
        std::max(0.0, syy - first * say - second * sby)};
}

LinearFit linearFit(const TimedTrace& trace, const AnswerWindow& window, const ShapeTable& table,
    double startMs, double delayMs)
{
    Moments moments;
    // The region's rows start one after another; its mean row stands for it.
    const double shift = trace.rows.meanRowMs() - startMs;
    for (std::size_t k = window.firstFrame; k < window.lastFrame; ++k) {
        if (!std::isfinite(trace.light[k])) {
            continue;
        }
        const double since = trace.startMs[k] + shift;
        moments.add(static_cast<double>(trace.light[k]), table.at(since),
            delayMs > 0.0 ? table.at(since - delayMs) : 0.0);
    }
    if (moments.n < 4.0) {
        return {};
    }
    const double sign = window.edge == Edge::On ? 1.0 : -1.0;
    return delayMs > 0.0 ? twoSteps(moments, sign) : oneStep(moments, sign);
}

struct StartSearch
{
    double startMs = 0.0;
    LinearFit fit;
};

struct StartRange
{
    double earliestMs = 0.0;
    double latestMs = 0.0;
};

// Frames of a window before its answer can have begun, and their level.
struct QuietStart
{
    std::size_t frames = 0;
    double level = 0.0;
    double noise = 0.0;
};

struct WindowLight
{
    std::vector<double> light;
    std::vector<double> timeMs; ///< of the region's mean row
};

WindowLight lightOf(const TimedTrace& trace, const AnswerWindow& window)
{
    WindowLight w;
    for (std::size_t k = window.firstFrame; k < window.lastFrame; ++k) {
        if (std::isfinite(trace.light[k])) {
            w.light.push_back(static_cast<double>(trace.light[k]));
            w.timeMs.push_back(trace.startMs[k] + trace.rows.meanRowMs());
        }
    }
    return w;
}

QuietStart quietStart(const WindowLight& w, double untilMs)
{
    QuietStart quiet;
    double sum = 0.0;
    double squares = 0.0;
    while (quiet.frames < w.timeMs.size() && w.timeMs[quiet.frames] < untilMs) {
        sum += w.light[quiet.frames];
        ++quiet.frames;
    }
    const auto n = static_cast<double>(std::max<std::size_t>(2, quiet.frames));
    quiet.level = sum / n;
    for (std::size_t i = 0; i < quiet.frames; ++i) {
        squares += (w.light[i] - quiet.level) * (w.light[i] - quiet.level);
    }
    quiet.noise = std::sqrt(squares / (n - 1.0));
    return quiet;
}

// The change starts shortly before the first frames that leave the old level: searching elsewhere
// only costs. A first picture that is hardly lit may hide in the noise, so the instant of a clear
// departure is searched as well.
std::vector<StartRange> likelyStarts(const TimedTrace& trace, const AnswerWindow& window)
{
    const StartRange whole {window.earliestMs, window.latestMs};
    const WindowLight w = lightOf(trace, window);
    const QuietStart quiet = quietStart(w, window.earliestMs - trace.camera.exposureMs);
    constexpr std::size_t fewestQuiet = 4;
    if (quiet.frames < fewestQuiet) {
        return {whole};
    }
    const double sign = window.edge == Edge::On ? 1.0 : -1.0;
    double highest = 0.0;
    for (const double value : w.light) {
        highest = std::max(highest, sign * (value - quiet.level));
    }
    // A slow response leaves the level some time before it shows.
    const double lead = std::max(2.0 * trace.camera.frameIntervalMs, 3.0);
    std::vector<StartRange> ranges;
    for (const double share : {0.04, 0.2}) {
        const double threshold = std::max(4.0 * quiet.noise, share * highest);
        for (std::size_t i = quiet.frames; i + 1 < w.light.size(); ++i) {
            if (sign * (w.light[i] - quiet.level) > threshold
                && sign * (w.light[i + 1] - quiet.level) > threshold) {
                const StartRange range {std::max(whole.earliestMs, w.timeMs[i] - lead),
                    std::min(whole.latestMs, w.timeMs[i] + trace.camera.frameIntervalMs)};
                if (ranges.empty() || range.earliestMs > ranges.back().latestMs) {
                    ranges.push_back(range);
                }
                break;
            }
        }
    }
    return ranges.empty() ? std::vector<StartRange> {whole} : ranges;
}

// Grid, then golden section around its best point.
StartSearch bestStartIn(const TimedTrace& trace, const AnswerWindow& window,
    const ShapeTable& table, double delayMs, StartRange range)
{
    const double step = std::min(0.25 * trace.camera.frameIntervalMs, 0.5);
    const int points
        = std::max(4, static_cast<int>((range.latestMs - range.earliestMs) / step) + 1);
    StartSearch best;
    for (int i = 0; i <= points; ++i) {
        const double start = range.earliestMs + (range.latestMs - range.earliestMs) * i / points;
        const LinearFit fit = linearFit(trace, window, table, start, delayMs);
        if (fit.squares < best.fit.squares) {
            best = {start, fit};
        }
    }
    double low = best.startMs - step;
    double high = best.startMs + step;
    constexpr double golden = 0.6180339887498949;
    constexpr int cuts = 20;
    for (int i = 0; i < cuts; ++i) {
        const double left = high - golden * (high - low);
        const double right = low + golden * (high - low);
        if (linearFit(trace, window, table, left, delayMs).squares
            < linearFit(trace, window, table, right, delayMs).squares) {
            high = right;
        } else {
            low = left;
        }
    }
    const double start = 0.5 * (low + high);
    const LinearFit fit = linearFit(trace, window, table, start, delayMs);
    return fit.squares <= best.fit.squares ? StartSearch {start, fit} : best;
}

StartSearch bestStart(const TimedTrace& trace, const AnswerWindow& window, const ShapeTable& table,
    double delayMs, const std::vector<StartRange>& ranges)
{
    StartSearch best;
    for (const StartRange& range : ranges) {
        const StartSearch search = bestStartIn(trace, window, table, delayMs, range);
        if (search.fit.squares < best.fit.squares) {
            best = search;
        }
    }
    return best;
}

double startDeviation(const TimedTrace& trace, const AnswerWindow& window, const ShapeTable& table,
    const AnswerFit& fit)
{
    const double h = 0.1 * trace.camera.frameIntervalMs;
    const double up = linearFit(trace, window, table, fit.startMs + h, fit.delayMs).squares;
    const double down = linearFit(trace, window, table, fit.startMs - h, fit.delayMs).squares;
    const double curvature = (up + down - 2.0 * fit.squares) / (h * h);
    if (!(curvature > 0.0)) {
        return trace.camera.frameIntervalMs / std::sqrt(12.0);
    }
    return fit.residual() * std::sqrt(2.0 / curvature);
}

} // namespace

double AnswerFit::residual() const
{
    const double freedom = static_cast<double>(frames) - (delayMs > 0.0 ? 4.0 : 3.0);
    return std::sqrt(squares / std::max(1.0, freedom));
}

std::optional<AnswerFit> fitAnswer(const TimedTrace& trace, const AnswerWindow& window,
    const ShapeTable& table, std::span<const double> delays)
{
    std::optional<AnswerFit> best;
    std::size_t frames = 0;
    for (std::size_t k = window.firstFrame; k < window.lastFrame; ++k) {
        frames += std::isfinite(trace.light[k]) ? 1U : 0U;
    }
    if (frames < 5) {
        return std::nullopt;
    }
    const std::vector<StartRange> ranges = likelyStarts(trace, window);
    for (const double delay : delays) {
        const StartSearch search = bestStart(trace, window, table, delay, ranges);
        if (!std::isfinite(search.fit.squares) || search.fit.first == 0.0) {
            continue;
        }
        const bool two = search.fit.second != 0.0;
        // A second step has to earn its place: more than chance gives it (Bayesian information
        // criterion).
        const double allowance = two
            ? std::exp(-2.0 * std::log(static_cast<double>(frames)) / static_cast<double>(frames))
            : 1.0;
        if (!best || search.fit.squares < best->squares * (best->delayMs > 0.0 ? 1.0 : allowance)) {
            best = AnswerFit {search.startMs, two ? delay : 0.0, search.fit.before,
                search.fit.first, search.fit.second, search.fit.squares, frames, 0.0};
        }
    }
    if (best) {
        best->startStandardMs = startDeviation(trace, window, table, *best);
    }
    return best;
}

double crossingMs(const AnswerFit& fit, const StepShape& shape, double share)
{
    const double target = share * fit.step();
    const double sign = fit.step() < 0.0 ? -1.0 : 1.0;
    double low = 0.0;
    double high = fit.delayMs + shape.rampMs + 14.0 * shape.tauMs + 1e-3;
    constexpr int halvings = 60;
    for (int i = 0; i < halvings; ++i) {
        const double middle = 0.5 * (low + high);
        const double made
            = fit.first * shape.at(middle) + fit.second * shape.at(middle - fit.delayMs);
        (sign * made < sign * target ? low : high) = middle;
    }
    return fit.startMs + 0.5 * (low + high);
}

namespace {

// At most this many answers decide about the shape: more would not sharpen it, only cost.
constexpr std::size_t shapeAnswers = 24;

double squaresOf(const TimedTrace& trace, std::span<const AnswerWindow> windows,
    std::span<const double> delays, StepShape shape)
{
    const ShapeTable table(shape, trace.camera.exposureMs);
    std::vector<double> squares;
    for (const AnswerWindow& window : windows) {
        const auto fit = fitAnswer(trace, window, table, delays);
        // Each answer counts by its own step, so that a dim one does not count less.
        squares.push_back(
            fit && fit->step() != 0.0 ? fit->squares / (fit->step() * fit->step()) : 1.0);
    }
    // An answer that no shape explains must not bend the shape of all others.
    constexpr double mostOfMedian = 4.0;
    const double limit = mostOfMedian * trace::medianOf(squares);
    double sum = 0.0;
    for (const double value : squares) {
        sum += std::min(value, limit);
    }
    return sum;
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
        std::span<const double> delays)
        : m_trace(trace)
        , m_windows(windows)
        , m_delays(delays)
    {
    }

    ShapeScore score(StepShape shape)
    {
        m_seen.push_back({shape, squaresOf(m_trace, m_windows, m_delays, shape)});
        return m_seen.back();
    }

    /// Walks from a shape to the best one near it.
    ShapeScore walkFrom(ShapeScore best)
    {
        double rampStep = std::max(0.25, 0.3 * best.shape.rampMs);
        double tauStep = std::max(0.15, 0.3 * best.shape.tauMs);
        constexpr std::array<std::array<double, 2>, 6> ways {
            {{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, -1}, {-1, 1}}};
        constexpr int rounds = 7;
        for (int round = 0; round < rounds; ++round) {
            bool better = false;
            for (const auto& [ramp, tau] : ways) {
                const StepShape shape {std::max(0.0, best.shape.rampMs + ramp * rampStep),
                    std::max(0.0, best.shape.tauMs + tau * tauStep)};
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
    std::vector<ShapeScore> m_seen;
};

ShapeScore bestShape(ShapeSearch& search, StepShape hint)
{
    constexpr std::array ramps {0.0, 0.5, 1.0, 2.0, 3.5, 5.5, 8.0};
    constexpr std::array taus {0.0, 0.3, 0.8, 1.8, 4.0};
    std::vector<ShapeScore> starts {search.score(hint)};
    for (const double ramp : ramps) {
        for (const double tau : taus) {
            starts.push_back(search.score({ramp, tau}));
        }
    }
    std::ranges::sort(starts, {}, &ShapeScore::squares);
    // The best point of a coarse grid may lie in the wrong valley.
    const ShapeScore first = search.walkFrom(starts[0]);
    const ShapeScore second = search.walkFrom(starts[1]);
    return first.squares <= second.squares ? first : second;
}

} // namespace

ShapeFit fitShape(const TimedTrace& trace, std::span<const AnswerWindow> windows,
    std::span<const double> delays, StepShape hint)
{
    std::vector<AnswerWindow> chosen(windows.begin(), windows.end());
    if (chosen.size() > shapeAnswers) {
        // Spread over the clip, so that drift does not pick them.
        std::vector<AnswerWindow> spread;
        for (std::size_t i = 0; i < shapeAnswers; ++i) {
            spread.push_back(chosen[i * chosen.size() / shapeAnswers]);
        }
        chosen = spread;
    }
    ShapeFit fit;
    ShapeSearch search(trace, chosen, delays);
    const ShapeScore best = bestShape(search, hint);
    fit.shape = best.shape;
    const ShapeTable table(best.shape, trace.camera.exposureMs);
    std::size_t frames = 0;
    for (const AnswerWindow& window : windows) {
        fit.answers.push_back(fitAnswer(trace, window, table, delays));
    }
    for (const AnswerWindow& window : chosen) {
        frames += window.lastFrame - window.firstFrame;
    }
    // Shapes that fit nearly as well: how far do they move the 10 % time of a typical answer?
    double weight = 0.0;
    double squares = 0.0;
    const double unit = best.squares
        / std::max(1.0, static_cast<double>(frames) - 3.0 * static_cast<double>(chosen.size()));
    const auto reference
        = std::ranges::find_if(fit.answers, [](const auto& answer) { return answer.has_value(); });
    if (reference != fit.answers.end() && unit > 0.0) {
        const AnswerWindow& window
            = windows[static_cast<std::size_t>(reference - fit.answers.begin())];
        const double bestTime = crossingMs(**reference, best.shape, 0.1);
        for (const ShapeScore& score : search.seen()) {
            const double w = std::exp(-0.5 * (score.squares - best.squares) / unit);
            if (w < 1e-3) {
                continue;
            }
            const auto other = fitAnswer(
                trace, window, ShapeTable(score.shape, trace.camera.exposureMs), delays);
            if (other) {
                const double difference = crossingMs(*other, score.shape, 0.1) - bestTime;
                squares += w * difference * difference;
                weight += w;
            }
        }
        fit.firstLightStandardMs = weight > 0.0 ? std::sqrt(squares / weight) : 0.0;
    }
    return fit;
}

} // namespace twinlamp::onset
