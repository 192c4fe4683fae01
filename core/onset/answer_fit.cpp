// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/answer_fit.h"

#include "core/onset/likely_starts.h"

#include <algorithm>
#include <cmath>
#include <functional>
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

// Shapes of the two steps of an answer.
struct StepTables
{
    const ShapeTable& first;
    const ShapeTable& second;
    RowSplit split;
};

LinearFit linearFit(const TimedTrace& trace, const AnswerWindow& window, const StepTables& table,
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
        moments.add(static_cast<double>(trace.light[k]), table.first.at(since),
            delayMs > 0.0 ? table.second.at(since - delayMs) : 0.0);
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

// Grid, then golden section around its best point.
StartSearch bestStartIn(const TimedTrace& trace, const AnswerWindow& window,
    const StepTables& table, double delayMs, StartRange range)
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

StartSearch bestStart(const TimedTrace& trace, const AnswerWindow& window, const StepTables& table,
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

double startDeviation(const TimedTrace& trace, const AnswerWindow& window, const StepTables& table,
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

namespace {

// A second step has to earn its place: more than chance gives it (Bayesian information criterion).
double allowanceForSecondStep(std::size_t frames)
{
    const auto n = static_cast<double>(frames);
    return std::exp(-2.0 * std::log(n) / n);
}

std::size_t framesIn(const TimedTrace& trace, const AnswerWindow& window)
{
    std::size_t frames = 0;
    for (std::size_t k = window.firstFrame; k < window.lastFrame; ++k) {
        frames += std::isfinite(trace.light[k]) ? 1U : 0U;
    }
    return frames;
}

// The better of two answers, by what their steps have to explain.
void keepBetter(std::optional<AnswerFit>& best, const AnswerFit& other)
{
    const auto cost = [](const AnswerFit& fit) {
        return fit.squares / (fit.delayMs > 0.0 ? allowanceForSecondStep(fit.frames) : 1.0);
    };
    if (!best || cost(other) < cost(*best)) {
        best = other;
    }
}

class WindowFit
{
public:
    WindowFit(const TimedTrace& trace, const AnswerWindow& window, const StepShape& shape)
        : m_trace(trace)
        , m_window(window)
        , m_frames(framesIn(trace, window))
        , m_ranges(hasFrames() ? likelyStarts(trace, window, shape) : std::vector<StartRange> {})
    {
    }

    [[nodiscard]] bool hasFrames() const
    {
        constexpr std::size_t fewest = 5;
        return m_frames >= fewest;
    }

    [[nodiscard]] std::optional<AnswerFit> at(const StepTables& tables, double delayMs) const
    {
        const StartSearch search = bestStart(m_trace, m_window, tables, delayMs, m_ranges);
        if (!std::isfinite(search.fit.squares) || search.fit.first == 0.0) {
            return std::nullopt;
        }
        const bool two = search.fit.second != 0.0;
        return AnswerFit {search.startMs, two ? delayMs : 0.0, search.fit.before, search.fit.first,
            search.fit.second, two ? tables.split : RowSplit {}, search.fit.squares, m_frames, 0.0};
    }

    /// The same with the start looked for within half a ramp of one.
    [[nodiscard]] std::optional<AnswerFit> near(
        double startMs, double rampMs, const StepTables& tables, double delayMs) const
    {
        const double reach = 0.5 * rampMs + 0.3;
        WindowFit narrow(*this);
        narrow.m_ranges = {{startMs - reach, startMs + reach}};
        return narrow.at(tables, delayMs);
    }

    void addDeviation(const StepTables& tables, AnswerFit& fit) const
    {
        fit.startStandardMs = startDeviation(m_trace, m_window, tables, fit);
    }

private:
    const TimedTrace& m_trace;
    const AnswerWindow& m_window;
    std::size_t m_frames;
    std::vector<StartRange> m_ranges;
};

// Pairs of tables whose share of the first picture is near that of a fit which took all rows alike;
// where that saw one step, those of a first picture lit hardly or almost wholly.
std::vector<std::reference_wrapper<const SplitTables::Pair>> likelyPairs(
    const SplitTables& tables, const AnswerFit& plain)
{
    constexpr double near = 0.11;
    const double share = plain.firstShare();
    std::vector<std::reference_wrapper<const SplitTables::Pair>> likely;
    for (const SplitTables::Pair& pair : tables.pairs()) {
        const double away = plain.delayMs > 0.0
            ? std::abs(pair.split.share - share)
            : std::min(pair.split.share, 1.0 - pair.split.share);
        if (away < near) {
            likely.emplace_back(pair);
        }
    }
    return likely;
}

} // namespace

std::optional<AnswerFit> fitAnswer(const TimedTrace& trace, const AnswerWindow& window,
    const ShapeTable& table, std::span<const double> delays)
{
    const WindowFit fitting(trace, window, table.shape());
    if (!fitting.hasFrames()) {
        return std::nullopt;
    }
    const StepTables tables {table, table, {}};
    std::optional<AnswerFit> best;
    for (const double delay : delays) {
        if (const auto fit = fitting.at(tables, delay)) {
            keepBetter(best, *fit);
        }
    }
    if (best) {
        fitting.addDeviation(tables, *best);
    }
    return best;
}

std::optional<AnswerFit> fitAnswer(const TimedTrace& trace, const AnswerWindow& window,
    const SplitTables& tables, std::span<const double> delays)
{
    const StepTables whole {tables.whole(), tables.whole(), {}};
    if (tables.pairs().empty()) {
        return fitAnswer(trace, window, tables.whole(), delays);
    }
    const WindowFit fitting(trace, window, tables.whole().shape());
    if (!fitting.hasFrames()) {
        return std::nullopt;
    }
    std::optional<AnswerFit> best;
    const SplitTables::Pair* bestPair = nullptr;
    for (const double delay : delays) {
        const auto plain = fitting.at(whole, delay);
        if (delay == 0.0 || !plain) {
            if (plain) {
                keepBetter(best, *plain);
            }
            continue;
        }
        bool agreed = false;
        for (const SplitTables::Pair& pair : likelyPairs(tables, *plain)) {
            const auto fit = fitting.near(plain->startMs, tables.whole().shape().rampMs,
                {pair.first, pair.second, pair.split}, delay);
            // The rows must share the light as the steps do.
            constexpr double agreement = 0.06;
            if (!fit || fit->delayMs == 0.0
                || std::abs(fit->firstShare() - pair.split.share) > agreement) {
                continue;
            }
            agreed = true;
            keepBetter(best, *fit);
            bestPair = best->delayMs > 0.0 && best->split == pair.split ? &pair : bestPair;
        }
        // Rows that share the light in a way of their own are no reason to pass over a picture.
        if (!agreed) {
            keepBetter(best, *plain);
        }
    }
    if (best) {
        const bool split = bestPair != nullptr && best->delayMs > 0.0;
        fitting.addDeviation(
            split ? StepTables {bestPair->first, bestPair->second, bestPair->split} : whole, *best);
    }
    return best;
}

void boundStart(
    const TimedTrace& trace, const AnswerWindow& window, const SplitTables& tables, AnswerFit& fit)
{
    StepTables steps {tables.whole(), tables.whole(), {}};
    const auto pair = std::ranges::find_if(
        tables.pairs(), [&](const SplitTables::Pair& p) { return p.split == fit.split; });
    const bool split = fit.delayMs > 0.0 && pair != tables.pairs().end();
    const StepTables shared = split ? StepTables {pair->first, pair->second, pair->split} : steps;
    constexpr double deviations = 2.0;
    const double most
        = fit.squares + deviations * deviations * fit.residual() * fit.residual() + 1e-12;
    const auto isAsGood = [&](double startMs) {
        return linearFit(trace, window, shared, startMs, fit.delayMs).squares <= most;
    };
    const auto farthest = [&](double direction) {
        constexpr double limitFrames = 64.0;
        double inside = 0.0;
        double outside = 0.05;
        while (outside < limitFrames
            && isAsGood(fit.startMs + direction * outside * trace.camera.frameIntervalMs)) {
            inside = outside;
            outside *= 1.6;
        }
        constexpr int halvings = 6;
        for (int i = 0; i < halvings; ++i) {
            const double middle = 0.5 * (inside + outside);
            (isAsGood(fit.startMs + direction * middle * trace.camera.frameIntervalMs) ? inside
                                                                                       : outside)
                = middle;
        }
        return fit.startMs + direction * outside * trace.camera.frameIntervalMs;
    };
    fit.earliestMs = farthest(-1.0);
    fit.latestMs = farthest(1.0);
}

double meanShare(const AnswerFit& fit, const StepShape& shape, double fromMs, double toMs)
{
    const SplitShapes shapes = splitShapes(shape, fit.split);
    const double length = std::max(1e-3, toMs - fromMs);
    const double since = fromMs - fit.startMs;
    const double first = fit.firstShare();
    return first * shapes.first.meanOver(since, length)
        + (1.0 - first) * shapes.second.meanOver(since - fit.delayMs, length);
}

double crossingMs(const AnswerFit& fit, const StepShape& shape, double share)
{
    const double target = share * fit.step();
    const double sign = fit.step() < 0.0 ? -1.0 : 1.0;
    const SplitShapes shapes = splitShapes(shape, fit.split);
    double low = 0.0;
    double high = fit.delayMs + shape.rampMs + 14.0 * shape.tauMs + shape.overshoot.backMs + 1e-3;
    constexpr int halvings = 60;
    for (int i = 0; i < halvings; ++i) {
        const double middle = 0.5 * (low + high);
        const double made = fit.first * shapes.first.at(middle)
            + fit.second * shapes.second.at(middle - fit.delayMs);
        (sign * made < sign * target ? low : high) = middle;
    }
    return fit.startMs + 0.5 * (low + high);
}

} // namespace twinlamp::onset
