// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/answers.h"

#include "core/measure/rhythm.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

namespace twinlamp::measure {

using onset::AnswerFit;
using onset::AnswerWindow;
using onset::CoarseEdge;
using onset::ShapeTable;
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

// The delay that most answers in two steps agree on. A lost frame doubles it: the smallest
// well-supported one counts.
std::optional<Interval> commonDelay(std::vector<double> delays, double toleranceMs)
{
    std::ranges::sort(delays);
    std::vector<double> cluster;
    for (std::size_t i = 0; i < delays.size(); ++i) {
        std::vector<double> near;
        std::ranges::copy_if(delays, std::back_inserter(near),
            [&](double d) { return std::abs(d - delays[i]) <= toleranceMs; });
        if (near.size() > cluster.size()) {
            cluster = near;
        }
    }
    if (cluster.size() < 3 || 2 * cluster.size() < delays.size()) {
        return std::nullopt;
    }
    Interval estimate {trace::medianOf(cluster), 0.0};
    double squares = 0.0;
    for (const double delay : cluster) {
        squares += (delay - estimate.ms) * (delay - estimate.ms);
    }
    const auto n = static_cast<double>(cluster.size());
    estimate.standardMs = std::sqrt(squares / (n - 1.0) / n);
    return estimate;
}

// Squared residuals of all answers, each in units of its own step; the better of one and two steps
// counts.
class DelayProfile
{
public:
    DelayProfile(const TimedTrace& goggle, std::vector<AnswerWindow> windows, StepShape shape)
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

constexpr std::array guessedShapes {
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
    for (const StepShape shape : guessedShapes) {
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

// The interval at which all two-step answers together fit best, near a first estimate.
Interval refinedInterval(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, const Answers& answers, Interval estimate)
{
    const ShapeTable onTable(answers.onShape, goggle.camera.exposureMs);
    const ShapeTable offTable(answers.offShape, goggle.camera.exposureMs);
    std::vector<double> delays;
    const double reach = std::max(0.6, 0.6 * goggle.camera.frameIntervalMs);
    for (std::size_t i = 0; i < paired.size(); ++i) {
        const auto& first = answers.fits[i];
        if (!first || first->delayMs == 0.0 || std::abs(first->delayMs - estimate.ms) > 0.5) {
            continue;
        }
        const double share = first->first / first->step();
        if (share < 0.15 || share > 0.85) {
            continue;
        }
        const AnswerWindow window = answerWindow(goggle, edges, paired[i], estimate.ms);
        const auto& table = window.edge == Edge::On ? onTable : offTable;
        double low = estimate.ms - reach;
        double high = estimate.ms + reach;
        const auto squares = [&](double delay) {
            const std::vector<double> one {delay};
            const auto fit = fitAnswer(goggle, window, table, one);
            return fit ? fit->squares : 1e9;
        };
        constexpr double golden = 0.6180339887498949;
        for (int step = 0; step < 12; ++step) {
            const double left = high - golden * (high - low);
            const double right = low + golden * (high - low);
            if (squares(left) < squares(right)) {
                high = right;
            } else {
                low = left;
            }
        }
        delays.push_back(0.5 * (low + high));
    }
    const auto refined = commonDelay(delays, std::max(0.5, 0.5 * goggle.camera.frameIntervalMs));
    return refined.value_or(estimate);
}

std::vector<double> delaysFor(std::optional<double> newFrameMs)
{
    if (!newFrameMs) {
        return {0.0};
    }
    // Twice the interval: the second picture was lost on the way.
    return {0.0, *newFrameMs, 2.0 * *newFrameMs};
}

// Rows of the lamp that the link camera read out later got more light in the first picture, so that
// the two steps of a press do not share the interval exactly: let each press have its own delay
// near it.
std::optional<AnswerFit> withOwnDelay(const TimedTrace& goggle, const AnswerWindow& window,
    const ShapeTable& table, std::optional<AnswerFit> fit)
{
    if (!fit || fit->delayMs == 0.0) {
        return fit;
    }
    constexpr int halvings = 4;
    double reach = 1.6;
    for (int i = 0; i < halvings; ++i) {
        reach *= 0.5;
        const std::vector<double> delays {fit->delayMs - reach, fit->delayMs + reach};
        const auto other = fitAnswer(goggle, window, table, delays);
        if (other && other->delayMs > 0.0 && other->squares < fit->squares) {
            fit = other;
        }
    }
    return fit;
}

void fitBothKinds(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, Answers& answers)
{
    const std::vector<double> delays = delaysFor(answers.newFrameMs);
    const double interval = answers.newFrameMs.value_or(guessedNewFrameMs);
    answers.fits.assign(paired.size(), std::nullopt);
    for (const Edge kind : {Edge::On, Edge::Off}) {
        std::vector<AnswerWindow> windows;
        std::vector<std::size_t> which;
        for (std::size_t i = 0; i < paired.size(); ++i) {
            if (edges[paired[i].goggleEdge].edge == kind) {
                windows.push_back(answerWindow(goggle, edges, paired[i], interval));
                which.push_back(i);
            }
        }
        if (windows.empty()) {
            continue;
        }
        // On and off of one panel differ little: what fitted one kind is a start for the other.
        const StepShape hint = kind == Edge::On ? answers.offShape : answers.onShape;
        const onset::ShapeFit shape = fitShape(goggle, windows, delays, hint);
        const ShapeTable table(shape.shape, goggle.camera.exposureMs);
        for (std::size_t i = 0; i < which.size(); ++i) {
            answers.fits[which[i]] = withOwnDelay(goggle, windows[i], table, shape.answers[i]);
        }
        (kind == Edge::On ? answers.onShape : answers.offShape) = shape.shape;
        (kind == Edge::On ? answers.onShapeStandardMs : answers.offShapeStandardMs)
            = shape.firstLightStandardMs;
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
    std::span<const PairedEdge> paired, std::optional<double> panelNewFrameMs)
{
    Answers answers;
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
        // Starts fitted with two steps may show the rhythm that rough ones did not.
        const auto rhythm = rhythmNear(answers.fits, *estimate);
        answers.newFrameIsRhythm = rhythm.has_value();
        estimate = rhythm ? *rhythm : refinedInterval(goggle, edges, paired, answers, *estimate);
        answers.newFrameMs = estimate->ms;
        fitBothKinds(goggle, edges, paired, answers);
    }
    if (estimate) {
        answers.newFrameStandardMs = estimate->standardMs;
    }
    return answers;
}

} // namespace twinlamp::measure
