// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/answers.h"

#include "core/measure/rhythm.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace twinlamp::measure {

using onset::AnswerFit;
using onset::AnswerWindow;
using onset::CoarseEdge;
using onset::ShapeTable;
using onset::SplitTables;
using onset::StepShape;
using onset::TimedTrace;

namespace {

// New-frame interval assumed until one is known: the slow end of today's links (30 pictures a
// second would be 33 ms).
constexpr double guessedNewFrameMs = 20.0;
// Range of second-step delays that are tried: 250 to 22 new pictures a second.
constexpr double shortestNewFrameMs = 5.0;
constexpr double longestNewFrameMs = 45.0;

std::size_t frameFrom(const TimedTrace& trace, double timeMs)
{
    const double start = timeMs - trace.rows.meanRowMs();
    return static_cast<std::size_t>(
        std::ranges::lower_bound(trace.startMs, start) - trace.startMs.begin());
}

// Squared residuals of all answers, each in units of its own step; the better of one and two steps
// counts.
class DelayProfile
{
public:
    DelayProfile(
        const TimedTrace& goggle, std::vector<AnswerWindow> windows, const StepShape& shape)
        : m_goggle(goggle)
        , m_windows(std::move(windows))
        , m_table(shape, goggle.camera.exposureMs)
    {
        const std::vector<double> none {0.0};
        for (const AnswerWindow& window : m_windows) {
            m_single.push_back(fitAnswer(m_goggle, window, m_table, none));
            m_singleSquares += m_single.back() ? relative(*m_single.back(), *m_single.back()) : 1.0;
        }
    }

    [[nodiscard]] double singleSquares() const { return m_singleSquares; }

    [[nodiscard]] double squares(double delayMs) const
    {
        const std::vector<double> one {delayMs};
        double sum = 0.0;
        for (std::size_t i = 0; i < m_windows.size(); ++i) {
            if (!m_single[i]) {
                sum += 1.0;
                continue;
            }
            const auto fit = fitAnswer(m_goggle, m_windows[i], m_table, one);
            const double single = relative(*m_single[i], *m_single[i]);
            sum += fit ? std::min(single, relative(*fit, *m_single[i])) : single;
        }
        return sum;
    }

private:
    static double relative(const AnswerFit& fit, const AnswerFit& single)
    {
        return single.step() == 0.0 ? 1.0 : fit.squares / (single.step() * single.step());
    }

    const TimedTrace& m_goggle;
    std::vector<AnswerWindow> m_windows;
    ShapeTable m_table;
    std::vector<std::optional<AnswerFit>> m_single;
    double m_singleSquares = 0.0;
};

const std::array guessedShapes {
    StepShape {0.6, 0.2}, StepShape {1.5, 0.8}, StepShape {1.0, 2.5}, StepShape {4.0, 0.6}};

std::vector<DelayProfile> delayProfiles(
    const TimedTrace& goggle, std::span<const CoarseEdge> edges, std::span<const PairedEdge> paired)
{
    constexpr std::size_t answersTried = 16;
    std::vector<AnswerWindow> windows;
    const std::size_t tried = std::min(answersTried, paired.size());
    for (std::size_t i = 0; i < tried; ++i) {
        windows.push_back(
            answerWindow(goggle, edges, paired[i * paired.size() / tried], guessedNewFrameMs));
    }
    std::vector<DelayProfile> profiles;
    profiles.reserve(guessedShapes.size());
    for (const StepShape& shape : guessedShapes) {
        profiles.emplace_back(goggle, windows, shape);
    }
    return profiles;
}

// The delay of a second step that explains all answers together best, under any of a few shapes:
// answers taken one by one would use a short delay to mend a wrong shape. Nothing where one step
// explains them nearly as well.
std::optional<Interval> newFrameFromSteps(const std::vector<DelayProfile>& profiles, double stepMs)
{
    double bestSingle = std::numeric_limits<double>::infinity();
    double best = bestSingle;
    double bestDelay = 0.0;
    for (const DelayProfile& profile : profiles) {
        bestSingle = std::min(bestSingle, profile.singleSquares());
        std::vector<double> squares;
        const auto steps = static_cast<int>((longestNewFrameMs - shortestNewFrameMs) / stepMs);
        squares.reserve(static_cast<std::size_t>(steps) + 1);
        for (int i = 0; i <= steps; ++i) {
            squares.push_back(profile.squares(shortestNewFrameMs + i * stepMs));
        }
        for (std::size_t i = 1; i + 1 < squares.size(); ++i) {
            // A minimum at the end of the range is a shape mended, not an interval.
            if (squares[i] <= squares[i - 1] && squares[i] <= squares[i + 1] && squares[i] < best) {
                best = squares[i];
                bestDelay = shortestNewFrameMs + static_cast<double>(i) * stepMs;
            }
        }
    }
    constexpr double clearlyBetter = 0.8;
    if (bestDelay == 0.0 || best > clearlyBetter * bestSingle) {
        return std::nullopt;
    }
    return Interval {bestDelay, stepMs};
}

// The rhythm of the answers' starts is that of new pictures, or of a panel that shows each of them
// more than once: the second steps tell which multiple it is.
Interval multipleOfRhythm(const std::vector<DelayProfile>& profiles, Interval rhythm)
{
    double best = std::numeric_limits<double>::infinity();
    double bestMultiple = 1.0;
    for (const DelayProfile& profile : profiles) {
        constexpr int mostMultiple = 4;
        for (int times = 1; times <= mostMultiple && times * rhythm.ms <= longestNewFrameMs;
             ++times) {
            const double multiple = times;
            // A longer interval has to explain the answers clearly better: a lost picture looks
            // like one.
            constexpr double preference = 1.25;
            const double squares
                = profile.squares(multiple * rhythm.ms) * (multiple > 1.0 ? preference : 1.0);
            if (squares < best) {
                best = squares;
                bestMultiple = multiple;
            }
        }
    }
    return {bestMultiple * rhythm.ms, bestMultiple * rhythm.standardMs};
}

std::optional<Interval> rhythmOfStarts(
    const TimedTrace& goggle, std::span<const CoarseEdge> edges, std::span<const PairedEdge> paired)
{
    const ShapeTable table(guessedShapes[1], goggle.camera.exposureMs);
    const std::vector<double> none {0.0};
    std::vector<double> starts;
    for (const PairedEdge& pair : paired) {
        if (const auto fit = fitAnswer(
                goggle, answerWindow(goggle, edges, pair, guessedNewFrameMs), table, none)) {
            starts.push_back(fit->startMs);
        }
    }
    return commonRhythm(starts, {shortestNewFrameMs, longestNewFrameMs});
}

// One press's answer with what its edge kind is fitted by.
struct AnswerCase
{
    AnswerWindow window;
    const SplitTables* tables = nullptr;
};

// Tables of both edge kinds under one slope, and every answer with its own.
class AnswerCases
{
public:
    AnswerCases(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
        std::span<const PairedEdge> paired, const Answers& answers, double slope)
        : m_goggle(goggle)
        , m_on(answers.onShape, goggle.camera.exposureMs, slope)
        , m_off(answers.offShape, goggle.camera.exposureMs, slope)
    {
        const double interval = answers.newFrameMs.value_or(guessedNewFrameMs);
        for (const PairedEdge& pair : paired) {
            const AnswerWindow window = answerWindow(goggle, edges, pair, interval);
            m_cases.push_back({window, window.edge == Edge::On ? &m_on : &m_off});
        }
    }

    AnswerCases(const AnswerCases&) = delete;
    AnswerCases& operator=(const AnswerCases&) = delete;
    AnswerCases(AnswerCases&&) = delete;
    AnswerCases& operator=(AnswerCases&&) = delete;
    ~AnswerCases() = default;

    [[nodiscard]] std::size_t count() const { return m_cases.size(); }

    [[nodiscard]] std::optional<AnswerFit> fit(std::size_t i, std::span<const double> delays) const
    {
        return fitAnswer(m_goggle, m_cases[i].window, *m_cases[i].tables, delays);
    }

    // Squared residuals of all answers, each in units of its own step; one that nothing explains
    // must not decide.
    [[nodiscard]] double squares(std::span<const double> delays) const
    {
        std::vector<double> squares;
        const std::size_t stride = std::max<std::size_t>(1, count() / mostTried);
        for (std::size_t i = 0; i < count(); i += stride) {
            const auto answer = fit(i, delays);
            squares.push_back(answer && answer->step() != 0.0
                    ? answer->squares / (answer->step() * answer->step())
                    : 1.0);
        }
        constexpr double mostOfMedian = 6.0;
        const double limit = mostOfMedian * trace::medianOf(squares);
        double sum = 0.0;
        for (const double value : squares) {
            sum += std::min(value, limit);
        }
        return sum;
    }

private:
    static constexpr std::size_t mostTried = 24;
    const TimedTrace& m_goggle;
    SplitTables m_on;
    SplitTables m_off;
    std::vector<AnswerCase> m_cases;
};

// The interval at which all answers together fit best, near a first estimate.
Interval refinedInterval(const AnswerCases& cases, Interval estimate)
{
    const auto squares = [&](double interval) {
        const std::vector<double> delays {0.0, interval, 2.0 * interval};
        return cases.squares(delays);
    };
    constexpr double reach = 0.3;
    constexpr int steps = 24;
    const double step = 2.0 * reach * estimate.ms / steps;
    double best = std::numeric_limits<double>::infinity();
    double found = estimate.ms;
    for (int i = 0; i <= steps; ++i) {
        const double interval = (1.0 - reach) * estimate.ms + i * step;
        const double value = squares(interval);
        if (value < best) {
            best = value;
            found = interval;
        }
    }
    double low = found - step;
    double high = found + step;
    constexpr double golden = 0.6180339887498949;
    constexpr int cuts = 10;
    for (int i = 0; i < cuts; ++i) {
        const double left = high - golden * (high - low);
        const double right = low + golden * (high - low);
        if (squares(left) < squares(right)) {
            high = right;
        } else {
            low = left;
        }
    }
    return {0.5 * (low + high), std::max(step, estimate.standardMs)};
}

std::vector<double> delaysFor(std::optional<double> newFrameMs)
{
    if (!newFrameMs) {
        return {0.0};
    }
    // Twice the interval: the second picture was lost on the way.
    return {0.0, *newFrameMs, 2.0 * *newFrameMs};
}

// New pictures do not come quite evenly: let each press have its own delay near the interval.
std::optional<AnswerFit> withOwnDelay(
    const AnswerCases& cases, std::size_t i, std::optional<AnswerFit> fit)
{
    if (!fit || fit->delayMs == 0.0) {
        return fit;
    }
    constexpr int halvings = 4;
    double reach = 1.6;
    for (int k = 0; k < halvings; ++k) {
        reach *= 0.5;
        const std::vector<double> delays {fit->delayMs - reach, fit->delayMs + reach};
        const auto other = cases.fit(i, delays);
        if (other && other->delayMs > 0.0 && other->squares < fit->squares) {
            fit = other;
        }
    }
    return fit;
}

// Windows of one edge kind. Answers in one step show the shape at its cleanest: where an earlier
// fit has found enough of them, they alone.
std::vector<AnswerWindow> shapeWindows(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, Edge kind, const Answers& answers)
{
    const double interval = answers.newFrameMs.value_or(guessedNewFrameMs);
    std::vector<AnswerWindow> all;
    std::vector<AnswerWindow> oneStep;
    for (std::size_t i = 0; i < paired.size(); ++i) {
        if (edges[paired[i].goggleEdge].edge != kind) {
            continue;
        }
        all.push_back(answerWindow(goggle, edges, paired[i], interval));
        if (i < answers.fits.size() && answers.fits[i]) {
            const AnswerFit& fit = *answers.fits[i];
            const double share = fit.first / fit.step();
            constexpr double negligible = 0.01;
            if (fit.delayMs == 0.0 || share < negligible || share > 1.0 - negligible) {
                oneStep.push_back(all.back());
            }
        }
    }
    constexpr std::size_t enough = 4;
    return oneStep.size() >= enough ? oneStep : all;
}

// The shape that each edge kind shares.
void fitShapes(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, std::optional<double> rampMs, Answers& answers)
{
    const std::vector<double> delays = delaysFor(answers.newFrameMs);
    for (const Edge kind : {Edge::On, Edge::Off}) {
        const std::vector<AnswerWindow> windows
            = shapeWindows(goggle, edges, paired, kind, answers);
        if (windows.empty()) {
            continue;
        }
        // On and off of one panel differ little: what fitted one kind is a start for the other.
        const StepShape hint = kind == Edge::On ? answers.offShape : answers.onShape;
        const onset::ShapeFit shape = fitShape(goggle, windows, delays, hint, rampMs);
        (kind == Edge::On ? answers.onShape : answers.offShape) = shape.shape;
        (kind == Edge::On ? answers.onShapeStandardMs : answers.offShapeStandardMs)
            = shape.firstLightStandardMs;
        (kind == Edge::On ? answers.onShapeSquares : answers.offShapeSquares) = shape.squares;
    }
}

// Rows further along the sweep saw the lamp longer in the first picture: how much, all answers tell
// together.
double bestSlope(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, const Answers& answers)
{
    if (!answers.newFrameMs) {
        return 0.0;
    }
    // Answers in one step say nothing about it.
    std::vector<PairedEdge> telling;
    const std::vector<double> delays = delaysFor(answers.newFrameMs);
    const AnswerCases even(goggle, edges, paired, answers, 0.0);
    for (std::size_t i = 0; i < even.count(); ++i) {
        const auto fit = even.fit(i, delays);
        constexpr double negligible = 0.02;
        if (fit && fit->delayMs > 0.0 && fit->first / fit->step() > negligible
            && fit->second / fit->step() > negligible) {
            telling.push_back(paired[i]);
        }
    }
    constexpr std::size_t fewest = 3;
    if (telling.size() < fewest) {
        return 0.0;
    }
    const auto squares = [&](double slope) {
        return AnswerCases(goggle, edges, telling, answers, slope).squares(delays);
    };
    constexpr std::array slopes {0.0, 0.1, 0.2, 0.35, 0.5, 0.75, 1.0, 1.5};
    std::array<double, slopes.size()> left {};
    std::ranges::transform(slopes, left.begin(), squares);
    const auto best = static_cast<std::size_t>(std::ranges::min_element(left) - left.begin());
    if (best == 0) {
        return 0.0;
    }
    double low = slopes[best - 1];
    double high = slopes[std::min(best + 1, slopes.size() - 1)];
    double found = slopes[best];
    double least = left[best];
    constexpr int cuts = 4;
    for (int i = 0; i < cuts; ++i) {
        for (const double slope : {0.5 * (low + found), 0.5 * (found + high)}) {
            const double other = squares(slope);
            if (other < least) {
                (slope < found ? high : low) = found;
                least = other;
                found = slope;
                break;
            }
            (slope < found ? low : high) = slope;
        }
    }
    return found;
}

void fitBothKinds(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, Answers& answers,
    std::optional<double> rampMs = std::nullopt)
{
    fitShapes(goggle, edges, paired, rampMs, answers);
    answers.firstPictureSlope = bestSlope(goggle, edges, paired, answers);
    const AnswerCases cases(goggle, edges, paired, answers, answers.firstPictureSlope);
    const std::vector<double> delays = delaysFor(answers.newFrameMs);
    answers.fits.clear();
    for (std::size_t i = 0; i < cases.count(); ++i) {
        answers.fits.push_back(withOwnDelay(cases, i, cases.fit(i, delays)));
    }
}

} // namespace

AnswerWindow answerWindow(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    const PairedEdge& paired, double newFrameMs)
{
    const CoarseEdge& edge = edges[paired.goggleEdge];
    const double interval = goggle.camera.frameIntervalMs;
    const double half = goggle.startMs[edge.frame] + goggle.rows.meanRowMs();
    AnswerWindow window;
    window.edge = edge.edge;
    window.latestMs = half + interval;
    // The first, partly lit picture may come one new-frame interval before half light, its response
    // some more.
    window.earliestMs
        = std::max(half - 1.2 * newFrameMs - 8.0 - interval, paired.referenceMs - interval);
    std::size_t notBefore = 0;
    std::size_t notAfter = goggle.frameCount();
    if (paired.goggleEdge > 0) {
        notBefore = edges[paired.goggleEdge - 1].frame + 1;
        window.earliestMs
            = std::max(window.earliestMs, goggle.startMs[notBefore - 1] + goggle.rows.meanRowMs());
    }
    if (paired.goggleEdge + 1 < edges.size()) {
        notAfter = edges[paired.goggleEdge + 1].frame;
        notAfter = notAfter > edge.frame + 2 ? notAfter - 1 : notAfter;
    }
    window.earliestMs = std::min(window.earliestMs, window.latestMs - interval);
    const double quiet = std::max(8.0 * interval, 10.0);
    window.firstFrame = std::max(notBefore, frameFrom(goggle, window.earliestMs - quiet));
    // Levels are the mean from 2 to 5 new-frame intervals after the departure: look that far.
    window.lastFrame
        = std::min(notAfter, frameFrom(goggle, half + std::max(4.5 * newFrameMs, 8.0 * interval)));
    return window;
}

namespace {

std::optional<Interval> rhythmNear(
    const std::vector<std::optional<AnswerFit>>& fits, Interval estimate)
{
    std::vector<double> starts;
    for (const auto& fit : fits) {
        if (fit) {
            starts.push_back(fit->startMs);
        }
    }
    constexpr double reach = 0.16;
    return commonRhythm(starts, {(1.0 - reach) * estimate.ms, (1.0 + reach) * estimate.ms});
}

} // namespace

Answers fitAnswers(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, std::optional<double> panelNewFrameMs,
    const std::shared_ptr<const onset::SweepWeights>& weights)
{
    Answers answers;
    answers.onShape.weights = weights;
    answers.offShape.weights = weights;
    std::optional<Interval> estimate;
    constexpr std::size_t fewestAnswers = 4;
    if (paired.size() >= fewestAnswers) {
        const auto profiles = delayProfiles(goggle, edges, paired);
        if (const auto rhythm = rhythmOfStarts(goggle, edges, paired)) {
            estimate = multipleOfRhythm(profiles, *rhythm);
            answers.newFrameIsRhythm = true;
        } else {
            estimate = newFrameFromSteps(
                profiles, std::clamp(0.5 * goggle.camera.frameIntervalMs, 0.6, 1.2));
        }
    }
    answers.newFrameMs = estimate ? std::optional<double>(estimate->ms) : panelNewFrameMs;
    fitBothKinds(goggle, edges, paired, answers);
    if (estimate && !answers.newFrameIsRhythm) {
        estimate = refinedInterval(
            AnswerCases(goggle, edges, paired, answers, answers.firstPictureSlope), *estimate);
        answers.newFrameMs = estimate->ms;
        fitBothKinds(goggle, edges, paired, answers);
        // Starts fitted with two steps may show the rhythm that rough ones did not.
        if (const auto rhythm = rhythmNear(answers.fits, *estimate)) {
            answers.newFrameIsRhythm = true;
            estimate = *rhythm;
            answers.newFrameMs = estimate->ms;
            fitBothKinds(goggle, edges, paired, answers);
        }
    }
    if (estimate) {
        answers.newFrameStandardMs = estimate->standardMs;
    }
    return answers;
}

void refitWithRamp(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, double rampMs, Answers& answers)
{
    Answers free = answers;
    fitShapes(goggle, edges, paired, std::nullopt, free);
    Answers again = answers;
    fitBothKinds(goggle, edges, paired, again, rampMs);
    // Fits with a free ramp are never worse; much better ones mean that the ramp is not that.
    constexpr double contradiction = 1.5;
    constexpr double leastNoise = 0.003;
    const double before = free.onShapeSquares + free.offShapeSquares;
    const double after = again.onShapeSquares + again.offShapeSquares;
    const double noise = leastNoise * leastNoise * static_cast<double>(paired.size());
    if (after <= contradiction * before + noise) {
        answers = std::move(again);
    }
}

} // namespace twinlamp::measure
