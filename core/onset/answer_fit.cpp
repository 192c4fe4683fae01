// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/answer_fit.h"

#include "core/onset/likely_starts.h"
#include "core/onset/window_light.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>

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

    /// `frames` in which the steps have not begun (share 0) or are whole (share 1).
    void addMany(double frames, double sumOfLight, double firstShare, double secondShare)
    {
        a += frames * firstShare;
        aa += frames * firstShare;
        ay += firstShare * sumOfLight;
        b += frames * secondShare;
        bb += frames * secondShare;
        by += secondShare * sumOfLight;
        ab += frames * firstShare * secondShare;
    }

    /// A frame that is counted in n, y and yy already.
    void add(double light, double firstShare, double secondShare)
    {
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

// Only frames within the steps need their shares worked out: before, they are 0, after, 1.
LinearFit linearFit(
    const WindowLight& window, Edge edge, const StepTables& table, double startMs, double delayMs)
{
    constexpr double fewest = 4.0;
    Moments moments;
    moments.n = static_cast<double>(window.frames());
    if (moments.n < fewest) {
        return {};
    }
    moments.y = window.sumFrom(0);
    moments.yy = window.sumOfSquares();
    const bool two = delayMs > 0.0;
    const double wholeMs = two
        ? std::max(table.first.wholeFromMs(), table.second.wholeFromMs() + delayMs)
        : table.first.wholeFromMs();
    const double noneMs = two ? std::min(table.first.noneMs(), table.second.noneMs() + delayMs)
                              : table.first.noneMs();
    const std::size_t whole = window.firstAt(startMs + wholeMs);
    for (std::size_t k = window.firstAt(startMs + noneMs); k < whole; ++k) {
        const double since = window.timeMs()[k] - startMs;
        moments.add(
            window.light()[k], table.first.at(since), two ? table.second.at(since - delayMs) : 0.0);
    }
    moments.addMany(
        static_cast<double>(window.frames() - whole), window.sumFrom(whole), 1.0, two ? 1.0 : 0.0);
    const double sign = edge == Edge::On ? 1.0 : -1.0;
    return two ? twoSteps(moments, sign) : oneStep(moments, sign);
}

struct StartSearch
{
    double startMs = 0.0;
    LinearFit fit;
};

// A window, its light, and the shapes tried on it.
struct Trial
{
    const TimedTrace& trace;
    const WindowLight& light;
    Edge edge;
    const StepTables& table;
    double delayMs;

    [[nodiscard]] LinearFit at(double startMs) const
    {
        return linearFit(light, edge, table, startMs, delayMs);
    }
};

double goldenSection(const Trial& trial, double low, double high)
{
    constexpr double golden = 0.6180339887498949;
    constexpr int cuts = 20;
    double left = high - golden * (high - low);
    double right = low + golden * (high - low);
    double ofLeft = trial.at(left).squares;
    double ofRight = trial.at(right).squares;
    for (int i = 0; i < cuts; ++i) {
        if (ofLeft < ofRight) {
            high = right;
            right = left;
            ofRight = ofLeft;
            left = high - golden * (high - low);
            ofLeft = trial.at(left).squares;
        } else {
            low = left;
            left = right;
            ofLeft = ofRight;
            right = low + golden * (high - low);
            ofRight = trial.at(right).squares;
        }
    }
    return 0.5 * (low + high);
}

// Grid, then golden section around its best point.
StartSearch bestStartIn(const Trial& trial, StartRange range)
{
    const double step = std::min(0.25 * trial.trace.camera.frameIntervalMs, 0.5);
    const int points
        = std::max(4, static_cast<int>((range.latestMs - range.earliestMs) / step) + 1);
    StartSearch best;
    for (int i = 0; i <= points; ++i) {
        const double start = range.earliestMs + (range.latestMs - range.earliestMs) * i / points;
        const LinearFit fit = trial.at(start);
        if (fit.squares < best.fit.squares) {
            best = {start, fit};
        }
    }
    const double start = goldenSection(trial, best.startMs - step, best.startMs + step);
    const LinearFit fit = trial.at(start);
    return fit.squares <= best.fit.squares ? StartSearch {start, fit} : best;
}

StartSearch bestStart(const Trial& trial, const std::vector<StartRange>& ranges)
{
    StartSearch best;
    for (const StartRange& range : ranges) {
        const StartSearch search = bestStartIn(trial, range);
        if (search.fit.squares < best.fit.squares) {
            best = search;
        }
    }
    return best;
}

double startDeviation(const Trial& trial, const AnswerFit& fit)
{
    const double h = 0.1 * trial.trace.camera.frameIntervalMs;
    const double up = trial.at(fit.startMs + h).squares;
    const double down = trial.at(fit.startMs - h).squares;
    const double curvature = (up + down - 2.0 * fit.squares) / (h * h);
    if (!(curvature > 0.0)) {
        return trial.trace.camera.frameIntervalMs / std::sqrt(12.0);
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
        , m_light(std::make_shared<const WindowLight>(trace, window))
        , m_ranges(hasFrames() ? likelyStarts(*m_light, trace, window, shape)
                               : std::vector<StartRange> {})
    {
    }

    [[nodiscard]] bool hasFrames() const
    {
        constexpr std::size_t fewest = 5;
        return m_light->frames() >= fewest;
    }

    [[nodiscard]] std::optional<AnswerFit> at(const StepTables& tables, double delayMs) const
    {
        const StartSearch search = bestStart(trial(tables, delayMs), m_ranges);
        if (!std::isfinite(search.fit.squares) || search.fit.first == 0.0) {
            return std::nullopt;
        }
        const bool two = search.fit.second != 0.0;
        return AnswerFit {search.startMs, two ? delayMs : 0.0, search.fit.before, search.fit.first,
            search.fit.second, two ? tables.split : RowSplit {}, search.fit.squares,
            m_light->frames(), 0.0};
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
        fit.startStandardMs = startDeviation(trial(tables, fit.delayMs), fit);
    }

private:
    [[nodiscard]] Trial trial(const StepTables& tables, double delayMs) const
    {
        return {m_trace, *m_light, m_window.edge, tables, delayMs};
    }

    const TimedTrace& m_trace;
    const AnswerWindow& m_window;
    std::shared_ptr<const WindowLight> m_light;
    std::vector<StartRange> m_ranges;
};

// Splits whose share of the first picture is near that of a fit which took all rows alike; where
// that saw one step, those of a first picture lit hardly or almost wholly.
std::vector<std::size_t> likelySplits(const SplitTables& tables, const AnswerFit& plain)
{
    constexpr double near = 0.11;
    const double share = plain.firstShare();
    std::vector<std::size_t> likely;
    for (std::size_t i = 0; i < tables.splits().size(); ++i) {
        const RowSplit& split = tables.splits()[i];
        const double away = plain.delayMs > 0.0 ? std::abs(split.share - share)
                                                : std::min(split.share, 1.0 - split.share);
        if (away < near) {
            likely.push_back(i);
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
    if (tables.splits().empty()) {
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
        for (const std::size_t i : likelySplits(tables, *plain)) {
            const SplitTables::Pair& pair = tables.pair(i);
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
    const WindowLight light(trace, window);
    const auto split = std::ranges::find(tables.splits(), fit.split);
    const bool isShared = fit.delayMs > 0.0 && split != tables.splits().end();
    const SplitTables::Pair* pair = isShared
        ? &tables.pair(static_cast<std::size_t>(split - tables.splits().begin()))
        : nullptr;
    const StepTables shared = pair != nullptr ? StepTables {pair->first, pair->second, pair->split}
                                              : StepTables {tables.whole(), tables.whole(), {}};
    constexpr double deviations = 2.0;
    const double most
        = fit.squares + deviations * deviations * fit.residual() * fit.residual() + 1e-12;
    const auto isAsGood = [&](double startMs) {
        return linearFit(light, window.edge, shared, startMs, fit.delayMs).squares <= most;
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
