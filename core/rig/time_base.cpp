// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/rig/time_base.h"

#include "core/base/coverage.h"
#include "core/rig/expanded_uncertainty.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <spdlog/fmt/fmt.h>
#include <vector>

namespace twinlamp::rig {

namespace {

constexpr std::size_t fewestOfAKind = 3;
// A driven lamp keeps its period far better; a hand does not keep it to a tenth.
constexpr double mostUneven = 0.1;
// Cameras miss their label by a few per cent at most; half or double a period is far outside.
constexpr double mostOffLabel = 0.05;

/// One onset in frames, and the cycle that it belongs to.
struct Point
{
    Edge edge = Edge::On;
    double frames = 0.0;
    double weight = 0.0;
    double shift = 0.0; ///< frames later for one standard uncertainty of the exposure
    double bound = 0.0; ///< half width in frames of a bounded onset
    std::int64_t cycle = 0;
};

struct Line
{
    double slope = 0.0; ///< frames a cycle
    double squares = 0.0; ///< weighted, of the cycles about their kind's mean
    double chiSquare = 0.0;
    double shift = 0.0; ///< of the slope, for one standard uncertainty of the exposure
    double bound = 0.0; ///< half width of the slope, all bounded onsets erring against it
    double meanWeight = 0.0;
};

constexpr std::array kinds {Edge::On, Edge::Off};

std::vector<Point> pointsOf(const TimeBaseInput& input)
{
    const double framesPerMs = input.assumedRateHz * 1e-3;
    std::vector<Point> points;
    for (const Edge kind : kinds) {
        const auto isOfKind = [kind](const TimeBaseEdge& edge) {
            return edge.edge == kind && edge.onset.standardMs > 0.0;
        };
        if (static_cast<std::size_t>(std::ranges::count_if(input.edges, isOfKind))
            < fewestOfAKind) {
            continue;
        }
        for (const TimeBaseEdge& edge : input.edges) {
            if (isOfKind(edge)) {
                const double standard = edge.onset.standardMs * framesPerMs;
                points.push_back({kind, edge.onset.timeMs * framesPerMs,
                    1.0 / (standard * standard), edge.onset.exposureShiftMs * framesPerMs,
                    edge.onset.isBounded ? std::sqrt(3.0) * standard : 0.0, 0});
            }
        }
    }
    return points;
}

/// Frames between neighbours of one kind.
std::vector<double> spacingsOf(const std::vector<Point>& points)
{
    std::vector<double> spacings;
    for (std::size_t i = 1; i < points.size(); ++i) {
        if (points[i].edge == points[i - 1].edge) {
            spacings.push_back(points[i].frames - points[i - 1].frames);
        }
    }
    return spacings;
}

double medianOf(std::vector<double> values)
{
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::ranges::nth_element(values, middle);
    return *middle;
}

/// Numbers the cycles of each kind from neighbour to neighbour, so that no error adds up.
/// @return how far the worst spacing is from a whole number of cycles
double numberCycles(std::vector<Point>& points, double framesPerCycle)
{
    double worst = 0.0;
    for (std::size_t i = 1; i < points.size(); ++i) {
        if (points[i].edge != points[i - 1].edge) {
            continue;
        }
        const double cycles = (points[i].frames - points[i - 1].frames) / framesPerCycle;
        const double whole = std::max(1.0, std::round(cycles));
        worst = std::max(worst, std::abs(cycles - whole));
        points[i].cycle = points[i - 1].cycle + static_cast<std::int64_t>(whole);
    }
    return worst;
}

struct KindMean
{
    double weight = 0.0;
    double cycle = 0.0;
    double frames = 0.0;
};

KindMean meanOf(const std::vector<Point>& points, Edge kind)
{
    KindMean mean;
    for (const Point& point : points) {
        if (point.edge == kind) {
            mean.weight += point.weight;
            mean.cycle += point.weight * static_cast<double>(point.cycle);
            mean.frames += point.weight * point.frames;
        }
    }
    if (mean.weight > 0.0) {
        mean.cycle /= mean.weight;
        mean.frames /= mean.weight;
    }
    return mean;
}

Line fitLine(const std::vector<Point>& points)
{
    Line line;
    double products = 0.0;
    for (const Edge kind : kinds) {
        const KindMean mean = meanOf(points, kind);
        for (const Point& point : points) {
            if (point.edge == kind) {
                const double away = static_cast<double>(point.cycle) - mean.cycle;
                line.squares += point.weight * away * away;
                products += point.weight * away * (point.frames - mean.frames);
                line.shift += point.weight * away * point.shift;
                line.bound += point.weight * std::abs(away) * point.bound;
            }
        }
    }
    line.slope = products / line.squares;
    line.shift /= line.squares;
    line.bound /= line.squares;
    double weight = 0.0;
    for (const Edge kind : kinds) {
        const KindMean mean = meanOf(points, kind);
        for (const Point& point : points) {
            if (point.edge == kind) {
                const double away = static_cast<double>(point.cycle) - mean.cycle;
                const double miss = point.frames - mean.frames - line.slope * away;
                line.chiSquare += point.weight * miss * miss;
                weight += point.weight;
            }
        }
    }
    line.meanWeight = weight / static_cast<double>(points.size());
    return line;
}

std::optional<Error> labelProblem(const TimeBaseInput& input, double rateHz)
{
    if (!input.labelledRateHz || std::abs(rateHz / *input.labelledRateHz - 1.0) <= mostOffLabel) {
        return std::nullopt;
    }
    return Error {Stage::Rig, Cause::InvalidValue,
        fmt::format(
            "the period of {:g} ms does not fit: the lamp's switchings would mean {:.3f} "
            "frames/s, but the camera is labelled {:.3f}; the lamp seems to run at a period "
            "of {:.4g} ms. Give the whole on-off cycle as the period, or correct the "
            "capture rate",
            input.periodMs, rateHz, *input.labelledRateHz,
            input.periodMs * rateHz / *input.labelledRateHz)};
}

int kindCount(const std::vector<Point>& points)
{
    return points.front().edge == points.back().edge ? 1 : 2;
}

std::int64_t missingCycles(const std::vector<Point>& points)
{
    std::int64_t missing = 0;
    for (std::size_t i = 1; i < points.size(); ++i) {
        if (points[i].edge == points[i - 1].edge) {
            missing += points[i].cycle - points[i - 1].cycle - 1;
        }
    }
    return missing;
}

} // namespace

Result<TimeBaseFit> timeBaseRate(const TimeBaseInput& input)
{
    std::vector<Point> points = pointsOf(input);
    if (points.empty()) {
        return fail(Stage::Rig, Cause::TooFew,
            "a time-base check needs the lamp to switch on, or off, at least 3 times; film longer");
    }
    const double framesPerCycle = medianOf(spacingsOf(points));
    const double worst = numberCycles(points, framesPerCycle);
    if (worst > mostUneven) {
        return fail(Stage::Rig, Cause::InvalidValue,
            fmt::format(
                "the lamp's switchings are not one period apart: one of them is {:.2f} of a "
                "period off; drive the lamp with a steady clock, and let nothing else in its "
                "region switch",
                worst));
    }
    const Line line = fitLine(points);
    const double periodS = input.periodMs * 1e-3;
    TimeBaseFit fit;
    fit.captureRateHz = line.slope / periodS;
    if (auto problem = labelProblem(input, fit.captureRateHz)) {
        return tl::unexpected<Error>(std::move(*problem));
    }
    const double degrees = static_cast<double>(points.size()) - kindCount(points) - 1.0;
    const std::array parts {
        StandardPart {std::sqrt(line.chiSquare / degrees / line.squares) / periodS, degrees},
        StandardPart {line.shift / periodS, std::nullopt},
        StandardPart {line.bound / std::sqrt(3.0) / periodS, std::nullopt},
        StandardPart {
            fit.captureRateHz * input.periodHalfWidthMs / coverageFactor95 / input.periodMs,
            std::nullopt}};
    fit.halfWidthHz = expandedUncertainty(parts).halfWidth;
    fit.scatterMs = 1e3 / fit.captureRateHz * std::sqrt(line.chiSquare / degrees / line.meanWeight);
    fit.edges = static_cast<int>(points.size());
    const auto last = std::ranges::max_element(points, {}, &Point::cycle);
    fit.cycles = static_cast<int>(last->cycle);
    fit.missing = static_cast<int>(missingCycles(points));
    return fit;
}

} // namespace twinlamp::rig
