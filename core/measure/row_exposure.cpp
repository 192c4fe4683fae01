// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/row_exposure.h"

#include "core/measure/lamp_lines.h"
#include "core/onset/level_window.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace twinlamp::measure {

using onset::ExposureEstimate;
using onset::TimedTrace;

namespace {

constexpr std::size_t fewestLines = 3;
constexpr std::size_t levelFrames = 24;
constexpr std::size_t framesAround = 2; // of an edge, that its switching can reach
// What codecs do to a line beyond its noise, share of the step. Judged: half more than to a whole
// lamp (onset/lamp_response.cpp).
constexpr double disturbanceShare = 0.006;
// Neighbouring lines and frames share a codec's errors: half of what they seem to say is said (as
// in onset/lamp_response.cpp).
constexpr double tempering = 0.5;

/// What one line showed in one frame near a switching.
struct Sample
{
    double startMs = 0.0; ///< of the line's exposure, after the edge's first frame
    double share = 0.0; ///< of the step
    double noise = 0.0; ///< of the share
};

using Switching = std::vector<Sample>;

/// Frames [first, last) in which nothing else than this edge happens.
struct Room
{
    std::size_t first = 0;
    std::size_t last = 0;
};

Room roomOf(std::span<const LampOnset> onsets, std::size_t i, std::size_t frames)
{
    return {i == 0 ? 0 : onsets[i - 1].edge.frame + framesAround,
        i + 1 < onsets.size() ? onsets[i + 1].edge.frame - framesAround : frames};
}

void addLine(
    const TimedTrace& like, const LampLine& line, std::size_t edge, Room room, Switching& switching)
{
    const std::size_t first = edge - framesAround;
    const std::size_t last = edge + framesAround;
    const auto before = onset::levelOf(
        line.light, std::max(room.first, first - std::min(first, levelFrames)), first);
    const auto after = onset::levelOf(line.light, last, std::min(room.last, last + levelFrames));
    const double step = after.light - before.light;
    if (before.frames == 0 || after.frames == 0 || step == 0.0) {
        return;
    }
    const double noise = std::hypot(
        std::max(before.noise, after.noise), before.standardError(), after.standardError());
    for (std::size_t k = first; k < last; ++k) {
        if (std::isfinite(line.light[k])) {
            switching.push_back(
                {like.startMs[k] - like.startMs[first] + like.camera.lineTimeMs * line.row,
                    (static_cast<double>(line.light[k]) - before.light) / step,
                    std::hypot(noise / step, disturbanceShare)});
        }
    }
}

std::vector<Switching> switchingsOf(
    const TimedTrace& like, std::span<const LampLine> lines, std::span<const LampOnset> onsets)
{
    std::vector<onset::CoarseEdge> edges;
    for (const LampOnset& onset : onsets) {
        edges.push_back(onset.edge);
    }
    const std::vector<LampLine> ofTheLamp = linesOfTheLamp(lines, edges);
    std::vector<Switching> switchings;
    for (std::size_t i = 0; i < onsets.size(); ++i) {
        const std::size_t edge = onsets[i].edge.frame;
        const Room room = roomOf(onsets, i, like.frameCount());
        if (onsets[i].clipped || edge <= room.first + framesAround
            || edge + framesAround >= room.last) {
            continue;
        }
        Switching switching;
        for (const LampLine& line : ofTheLamp) {
            addLine(like, line, edge, room, switching);
        }
        if (switching.size() >= fewestLines) {
            switchings.push_back(std::move(switching));
        }
    }
    return switchings;
}

double squaresAt(const Switching& switching, double instantMs, double exposureMs)
{
    double squares = 0.0;
    for (const Sample& sample : switching) {
        const double lit
            = std::clamp((sample.startMs + exposureMs - instantMs) / exposureMs, 0.0, 1.0);
        const double miss = (sample.share - lit) / sample.noise;
        squares += miss * miss < 16.0 ? miss * miss : 8.0 * std::abs(miss) - 16.0;
    }
    return squares;
}

// Squares of the misses at the instant that leaves the least.
double leastSquares(const Switching& switching, double exposureMs)
{
    const auto [earliest, latest] = std::ranges::minmax(switching, {}, &Sample::startMs);
    constexpr int points = 80;
    constexpr int halvings = 8;
    double width = (latest.startMs - earliest.startMs + exposureMs) / points;
    double best = earliest.startMs;
    double least = std::numeric_limits<double>::infinity();
    const auto tryAt = [&](double instant) {
        const double squares = squaresAt(switching, instant, exposureMs);
        if (squares < least) {
            least = squares;
            best = instant;
        }
    };
    const double from = earliest.startMs;
    for (int i = 0; i <= points; ++i) {
        tryAt(from + i * width);
    }
    for (int i = 0; i < halvings; ++i) {
        width *= 0.5;
        const double middle = best;
        tryAt(middle - width);
        tryAt(middle + width);
    }
    return least;
}

/// Mean and deviation of a place in a row of log likelihoods.
struct Spread
{
    double mean = 0.0;
    double deviation = 0.0;
};

Spread spreadOf(const std::vector<double>& logs)
{
    const double most = *std::ranges::max_element(logs);
    double weight = 0.0;
    double first = 0.0;
    double second = 0.0;
    for (std::size_t i = 0; i < logs.size(); ++i) {
        const double w = std::exp(logs[i] - most);
        const auto place = static_cast<double>(i);
        weight += w;
        first += w * place;
        second += w * place * place;
    }
    const double mean = first / weight;
    return {mean, std::sqrt(std::max(0.0, second / weight - mean * mean))};
}

} // namespace

ExposureEstimate exposureFromRows(const TimedTrace& like, std::span<const LampLine> lines,
    std::span<const LampOnset> onsets, const ExposureEstimate& first)
{
    if (first.standardMs <= 0.0 || like.camera.lineTimeMs == 0.0 || lines.size() < fewestLines) {
        return first;
    }
    const std::vector<Switching> switchings = switchingsOf(like, lines, onsets);
    if (switchings.empty()) {
        return first;
    }
    constexpr double reach = 3.5; // standard deviations of the first estimate
    constexpr int steps = 70;
    const double frame = like.camera.frameIntervalMs;
    const double shortest = std::max(0.02 * frame, first.exposureMs - reach * first.standardMs);
    const double longest = std::min(frame, first.exposureMs + reach * first.standardMs);
    const double step = (longest - shortest) / steps;
    std::vector<double> logs;
    for (int i = 0; i <= steps; ++i) {
        const double exposure = shortest + i * step;
        double log = -0.5 * std::pow((exposure - first.exposureMs) / first.standardMs, 2);
        for (const Switching& switching : switchings) {
            log -= 0.5 * tempering * leastSquares(switching, exposure);
        }
        logs.push_back(log);
    }
    const Spread spread = spreadOf(logs);
    ExposureEstimate estimate = first;
    estimate.exposureMs = shortest + spread.mean * step;
    estimate.standardMs = std::hypot(
        spread.deviation * step, step / std::sqrt(12.0), rowMixing * estimate.exposureMs);
    return estimate;
}

} // namespace twinlamp::measure
