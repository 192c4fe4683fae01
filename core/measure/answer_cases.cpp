// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/answer_cases.h"

#include "core/onset/shape_fit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace twinlamp::measure {

using onset::AnswerFit;
using onset::AnswerWindow;
using onset::CoarseEdge;
using onset::SplitTables;
using onset::TimedTrace;

namespace {

// More answers than this make shared figures no better, only dearer.
constexpr std::size_t mostTried = 24;

struct BothTables
{
    SplitTables on;
    SplitTables off;

    BothTables(const AnswerShapes& shapes, double exposureMs)
        : on(shapes.on, exposureMs, shapes.slope)
        , off(shapes.off, exposureMs, shapes.slope)
    {
    }

    [[nodiscard]] const SplitTables& of(Edge edge) const { return edge == Edge::On ? on : off; }
};

std::optional<AnswerFit> withOwnDelay(const TimedTrace& goggle, const AnswerWindow& window,
    const SplitTables& tables, std::optional<AnswerFit> fit)
{
    if (!fit || fit->delayMs == 0.0) {
        return fit;
    }
    constexpr int halvings = 4;
    double reach = 1.6;
    for (int k = 0; k < halvings; ++k) {
        reach *= 0.5;
        const std::vector<double> delays {fit->delayMs - reach, fit->delayMs + reach};
        const auto other = fitAnswer(goggle, window, tables, delays);
        if (other && other->delayMs > 0.0 && other->squares < fit->squares) {
            fit = other;
        }
    }
    return fit;
}

} // namespace

AnswerCases::AnswerCases(const TimedTrace& goggle, std::span<const CoarseEdge> edges,
    std::span<const PairedEdge> paired, double newFrameMs)
    : m_goggle(goggle)
{
    for (const PairedEdge& pair : paired) {
        m_windows.push_back(answerWindow(goggle, edges, pair, newFrameMs));
    }
}

std::vector<std::size_t> AnswerCases::ofKind(Edge kind) const
{
    std::vector<std::size_t> which;
    for (std::size_t i = 0; i < m_windows.size(); ++i) {
        if (m_windows[i].edge == kind) {
            which.push_back(i);
        }
    }
    return which;
}

std::vector<AnswerWindow> AnswerCases::windowsOf(Edge kind) const
{
    std::vector<AnswerWindow> windows;
    for (const std::size_t i : ofKind(kind)) {
        windows.push_back(m_windows[i]);
    }
    return windows;
}

std::vector<std::optional<AnswerFit>> AnswerCases::fits(
    const AnswerShapes& shapes, std::span<const double> delays) const
{
    const BothTables tables(shapes, m_goggle.camera.exposureMs);
    std::vector<std::optional<AnswerFit>> fits;
    for (const AnswerWindow& window : m_windows) {
        fits.push_back(fitAnswer(m_goggle, window, tables.of(window.edge), delays));
    }
    return fits;
}

std::vector<std::optional<AnswerFit>> AnswerCases::fitsWithOwnDelays(
    const AnswerShapes& shapes, std::span<const double> delays) const
{
    const BothTables tables(shapes, m_goggle.camera.exposureMs);
    std::vector<std::optional<AnswerFit>> fits;
    for (const AnswerWindow& window : m_windows) {
        const SplitTables& table = tables.of(window.edge);
        fits.push_back(
            withOwnDelay(m_goggle, window, table, fitAnswer(m_goggle, window, table, delays)));
        if (fits.back()) {
            boundStart(m_goggle, window, table, *fits.back());
        }
    }
    return fits;
}

double AnswerCases::squares(const AnswerShapes& shapes, std::span<const std::size_t> which,
    std::span<const double> delays) const
{
    const BothTables tables(shapes, m_goggle.camera.exposureMs);
    std::vector<double> squares;
    const std::size_t stride = std::max<std::size_t>(1, which.size() / mostTried);
    for (std::size_t k = 0; k < which.size(); k += stride) {
        const AnswerWindow& window = m_windows[which[k]];
        const auto answer = fitAnswer(m_goggle, window, tables.of(window.edge), delays);
        squares.push_back(answer ? answer->relativeSquares() : 1.0);
    }
    constexpr double mostOfMedian = 6.0;
    return onset::cappedSum(squares, mostOfMedian);
}

std::vector<std::size_t> AnswerCases::inTwoSteps(
    const AnswerShapes& shapes, std::span<const double> delays) const
{
    const auto all = fits(shapes, delays);
    std::vector<std::size_t> which;
    for (std::size_t i = 0; i < all.size(); ++i) {
        constexpr double negligible = 0.03;
        if (all[i] && all[i]->delayMs > 0.0 && all[i]->firstShare() > negligible
            && all[i]->firstShare() < 1.0 - negligible) {
            which.push_back(i);
        }
    }
    return which;
}

std::vector<double> delaysFor(std::optional<double> newFrameMs)
{
    if (!newFrameMs) {
        return {0.0};
    }
    // Twice the interval: the second picture was lost on the way.
    return {0.0, *newFrameMs, 2.0 * *newFrameMs};
}

Interval refinedInterval(const AnswerCases& cases, const AnswerShapes& shapes, Interval estimate)
{
    const auto telling = cases.inTwoSteps(shapes, delaysFor(estimate.ms));
    if (telling.empty()) {
        return estimate;
    }
    const auto squares
        = [&](double interval) { return cases.squares(shapes, telling, delaysFor(interval)); };
    constexpr double reach = 0.3;
    constexpr int steps = 24;
    const double step = 2.0 * reach * estimate.ms / steps;
    double best = std::numeric_limits<double>::infinity();
    int found = 0;
    for (int i = 0; i <= steps; ++i) {
        const double value = squares((1.0 - reach) * estimate.ms + i * step);
        if (value < best) {
            best = value;
            found = i;
        }
    }
    // A minimum at the end of the range is a shape mended, not an interval.
    if (found == 0 || found == steps) {
        return estimate;
    }
    const double middle = (1.0 - reach) * estimate.ms + found * step;
    double low = middle - step;
    double high = middle + step;
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

double bestSlope(const AnswerCases& cases, AnswerShapes shapes, std::span<const double> delays)
{
    shapes.slope = 0.0;
    const auto telling = cases.inTwoSteps(shapes, delays);
    constexpr std::size_t fewest = 3;
    if (telling.size() < fewest) {
        return 0.0;
    }
    const auto squares = [&](double slope) {
        shapes.slope = slope;
        return cases.squares(shapes, telling, delays);
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

} // namespace twinlamp::measure
