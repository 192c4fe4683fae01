// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/pulse_light.h"

#include "core/trace/noise.h"
#include "core/trace/pulse_rhythm.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace twinlamp::trace {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
// Pulses shallower than this disturb less than the codec does.
constexpr double leastDepth = 0.03;
// Below this share of the brightest phase a frame tells nothing of the light's level.
constexpr double darkShare = 0.35;
// Of pulses seen one by one the shares are known well enough for less.
constexpr double darkShareResolved = 0.2;

double phaseOf(double timeMs, double periodMs)
{
    const double turns = timeMs / periodMs;
    return turns - std::floor(turns);
}

// Number of frames over which whole periods come out most evenly.
std::size_t evenFrames(double periodFrames)
{
    std::size_t best = 0;
    double least = 1e9;
    for (int periods = 1; periods <= 24; ++periods) {
        const double frames = periods * periodFrames;
        constexpr double fewest = 5.5;
        constexpr double most = 60.0;
        if (frames < fewest || (frames > most && best > 0)) {
            continue;
        }
        const double off = std::abs(frames - std::round(frames)) / frames;
        if (off < 0.6 * least) {
            least = off;
            best = static_cast<std::size_t>(std::lround(frames));
        }
    }
    return std::max<std::size_t>(best, 2);
}

/// Mean over whole periods around each frame.
struct Smoothed
{
    std::vector<double> mean; ///< NaN near the ends and where frames are missing
    std::size_t frames = 0;
};

Smoothed smoothed(std::span<const float> light, double periodFrames)
{
    Smoothed s {std::vector<double>(light.size(), nan), evenFrames(periodFrames)};
    const std::size_t n = s.frames;
    double sum = 0.0;
    std::size_t finite = 0;
    for (std::size_t k = 0; k < light.size(); ++k) {
        if (std::isfinite(light[k])) {
            sum += static_cast<double>(light[k]);
            ++finite;
        }
        if (k >= n && std::isfinite(light[k - n])) {
            sum -= static_cast<double>(light[k - n]);
            --finite;
        }
        if (k + 1 >= n && finite == n) {
            s.mean[k - n / 2] = sum / static_cast<double>(n);
        }
    }
    return s;
}

/// Frames at which the light keeps its level, by that level.
struct QuietFrames
{
    std::vector<std::size_t> bright;
    std::vector<std::size_t> dim;
    double brightLevel = 0.0;
    double dimLevel = 0.0;
};

QuietFrames quietFrames(const Smoothed& s)
{
    std::vector<double> levels;
    std::ranges::copy_if(
        s.mean, std::back_inserter(levels), [](double v) { return std::isfinite(v); });
    QuietFrames quiet;
    if (levels.empty()) {
        return quiet;
    }
    std::ranges::sort(levels);
    const auto quantile = [&](double q) {
        return levels[static_cast<std::size_t>(q * static_cast<double>(levels.size() - 1))];
    };
    const double low = quantile(0.05);
    const double high = quantile(0.95);
    // One level only: all of it is the bright one.
    const bool twoLevels = high > 1.3 * low;
    const double step = high - low;
    std::vector<double> bright;
    std::vector<double> dim;
    for (std::size_t k = s.frames; k + s.frames < s.mean.size(); ++k) {
        const double change = std::abs(s.mean[k + s.frames / 2 + 1] - s.mean[k - s.frames / 2 - 1]);
        constexpr double stillShare = 0.06;
        if (!(change < stillShare * std::max(step, 0.3 * high))) {
            continue;
        }
        const double level = s.mean[k];
        if (!twoLevels || level > high - 0.25 * step) {
            quiet.bright.push_back(k);
            bright.push_back(level);
        } else if (level < low + 0.25 * step) {
            quiet.dim.push_back(k);
            dim.push_back(level);
        }
    }
    quiet.brightLevel = medianOf(bright);
    quiet.dimLevel = medianOf(dim);
    return quiet;
}

// Median of values in each phase bin, empty bins filled from their neighbours in phase.
std::vector<double> foldedMedian(const std::vector<std::size_t>& frames,
    std::span<const double> timeMs, double periodMs, std::size_t bins, const auto& valueAt)
{
    std::vector<std::vector<double>> inBin(bins);
    for (const std::size_t k : frames) {
        const auto bin = std::min(bins - 1,
            static_cast<std::size_t>(phaseOf(timeMs[k], periodMs) * static_cast<double>(bins)));
        inBin[bin].push_back(valueAt(k));
    }
    std::vector<double> folded(bins, nan);
    for (std::size_t b = 0; b < bins; ++b) {
        constexpr std::size_t fewest = 3;
        if (inBin[b].size() >= fewest) {
            folded[b] = medianOf(inBin[b]);
        }
    }
    return folded;
}

double largest(const std::vector<double>& values)
{
    double most = -std::numeric_limits<double>::infinity();
    for (const double v : values) {
        most = std::isfinite(v) ? std::max(most, v) : most;
    }
    return most;
}

double smallest(const std::vector<double>& values)
{
    double least = std::numeric_limits<double>::infinity();
    for (const double v : values) {
        least = std::isfinite(v) ? std::min(least, v) : least;
    }
    return least;
}

// How far bright frames lie from the shares of their phases: little, where it is a rhythm that
// they share.
double scatter(std::span<const float> light, std::span<const double> timeMs, const Smoothed& level,
    const QuietFrames& quiet, const PulseLight& pulses)
{
    // Frames between pulses agree with any rhythm.
    const double lit = 0.2 * largest(pulses.share);
    std::vector<double> away;
    for (const std::size_t k : quiet.bright) {
        const double seen = static_cast<double>(light[k]) / level.mean[k];
        const double share = pulses.shareAt(timeMs[k]);
        if (seen > lit || share > lit) {
            away.push_back(std::abs(seen - share));
        }
    }
    return medianOf(away);
}

// Light that does not pulse: with it taken off, bright and dim state pulse alike.
double floorOf(std::span<const float> light, std::span<const double> timeMs,
    const QuietFrames& quiet, const PulseLight& raw)
{
    if (quiet.dim.size() < 2 * raw.share.size()) {
        return 0.0;
    }
    const double bright = quiet.brightLevel;
    const double highest = std::min(quiet.dimLevel, bright * std::max(0.0, smallest(raw.share)));
    constexpr int steps = 24;
    double best = 0.0;
    double least = std::numeric_limits<double>::infinity();
    for (int i = 0; i <= steps; ++i) {
        const double floor = highest * i / steps;
        double squares = 0.0;
        double count = 0.0;
        for (const std::size_t k : quiet.dim) {
            const double share
                = (raw.shareAt(timeMs[k]) * bright - floor) / std::max(1e-9, bright - floor);
            const double model = floor + (quiet.dimLevel - floor) * share;
            const double miss = static_cast<double>(light[k]) - model;
            if (std::isfinite(miss)) {
                squares += miss * miss;
                count += 1.0;
            }
        }
        if (count > 0.0 && squares / count < least) {
            least = squares / count;
            best = floor;
        }
    }
    return best;
}

/// A pulse as frames show it through their exposure.
struct SeenPulse
{
    double fromMs = 0.0;
    double lengthMs = 0.0;
    double squares = std::numeric_limits<double>::infinity();
};

// Squares that a pulse of a start and a length leaves, its height fitted.
double squaresOf(const PulseLight& pulses, double fromMs, double lengthMs, double exposureMs)
{
    const auto bins = static_cast<double>(pulses.share.size());
    double xx = 0.0;
    double xy = 0.0;
    double yy = 0.0;
    for (std::size_t b = 0; b < pulses.share.size(); ++b) {
        const double y = pulses.share[b];
        if (!std::isfinite(y)) {
            continue;
        }
        const double start = (static_cast<double>(b) + 0.5) / bins * pulses.periodMs;
        double x = 0.0;
        for (const double turn : {-1.0, 0.0, 1.0}) {
            const double from = fromMs + turn * pulses.periodMs;
            x += std::max(
                0.0, std::min(start + exposureMs, from + lengthMs) - std::max(start, from));
        }
        xx += x * x;
        xy += x * y;
        yy += y * y;
    }
    return xx > 0.0 ? yy - xy * xy / xx : yy;
}

double widestPhaseGapMs(std::span<const double> timeMs, double periodMs)
{
    constexpr std::size_t enough = 4000;
    std::vector<double> phases;
    for (const double time : timeMs.first(std::min(enough, timeMs.size()))) {
        phases.push_back(phaseOf(time, periodMs));
    }
    std::ranges::sort(phases);
    double widest = phases.front() + 1.0 - phases.back();
    for (std::size_t i = 1; i < phases.size(); ++i) {
        widest = std::max(widest, phases[i] - phases[i - 1]);
    }
    return widest * periodMs;
}

// Start and length of the pulses: the rectangle that explains the frames of all phases best.
// @return what it leaves, as a share of all squares
double timePulses(PulseLight& pulses, double exposureMs)
{
    SeenPulse best;
    const auto keepBetter = [&](double fromMs, double lengthMs) {
        if (lengthMs > 0.0 && lengthMs < pulses.periodMs) {
            const double squares = squaresOf(pulses, fromMs, lengthMs, exposureMs);
            if (squares < best.squares) {
                best = {fromMs, lengthMs, squares};
            }
        }
    };
    constexpr int starts = 64;
    constexpr int lengths = 32;
    for (int i = 0; i < starts; ++i) {
        for (int k = 1; k < lengths; ++k) {
            keepBetter(pulses.periodMs * i / starts, pulses.periodMs * k / lengths);
        }
    }
    double reach = pulses.periodMs / lengths;
    constexpr int refinements = 14;
    for (int i = 0; i < refinements; ++i) {
        reach *= 0.7;
        const SeenPulse from = best;
        for (const double start : {-reach, 0.0, reach}) {
            for (const double length : {-reach, 0.0, reach}) {
                keepBetter(from.fromMs + start, from.lengthMs + length);
            }
        }
    }
    pulses.litFromMs = best.fromMs;
    pulses.litMs = best.lengthMs;
    double all = 0.0;
    for (const double share : pulses.share) {
        all += std::isfinite(share) ? share * share : 0.0;
    }
    return all > 0.0 ? best.squares / all : 1.0;
}

// Mean over a period of pulses that are timed one by one, on the frames that each lights.
std::vector<float> heightsAsMeans(
    std::span<const float> light, std::span<const double> timeMs, const PulseLight& pulses)
{
    std::vector<float> mean(light.size(), std::numeric_limits<float>::quiet_NaN());
    std::size_t first = 0;
    for (const SinglePulse& pulse : pulses.single) {
        double xx = 0.0;
        double xy = 0.0;
        std::vector<std::size_t> lit;
        const auto part = [&](std::size_t k) {
            return litPart(timeMs[k], pulses.exposureMs, pulse.startMs, pulses.litMs);
        };
        while (first < light.size() && timeMs[first] + pulses.exposureMs < pulse.startMs) {
            ++first;
        }
        for (std::size_t k = first; k < light.size() && part(k) > 0.0; ++k) {
            if (std::isfinite(light[k])) {
                xx += part(k) * part(k);
                xy += part(k) * (static_cast<double>(light[k]) - pulses.floor);
                lit.push_back(k);
            }
        }
        // Hardly lit frames tell the height badly.
        constexpr double leastLit = 0.04;
        for (const std::size_t k : lit) {
            if (xx > leastLit) {
                mean[k]
                    = static_cast<float>(pulses.floor + xy / xx * pulses.litMs / pulses.periodMs);
            }
        }
    }
    return mean;
}

// An estimate of a dozen switchings is good to an eighth of the frame interval.
std::vector<double> possibleExposures(double frameIntervalMs, double exposureMs)
{
    std::vector<double> exposures {exposureMs};
    for (const double part : {0.5, 0.6, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 1.0}) {
        if (std::abs(part * frameIntervalMs - exposureMs) < 0.3 * frameIntervalMs) {
            exposures.push_back(part * frameIntervalMs);
        }
    }
    return exposures;
}

} // namespace

double PulseLight::swing() const { return share.empty() ? 0.0 : largest(share) - smallest(share); }

double PulseLight::nearestStartMs(double timeMs) const
{
    const double start = timeMs - 0.5 * litMs;
    if (single.empty()) {
        return litFromMs + std::round((start - litFromMs) / periodMs) * periodMs;
    }
    const auto after = std::ranges::lower_bound(single, start, {}, &SinglePulse::startMs);
    if (after == single.begin()) {
        // Before the first one and behind the last one they are taken to keep to the rhythm.
        return after->startMs + std::round((start - after->startMs) / periodMs) * periodMs;
    }
    const double before = (after - 1)->startMs;
    if (after == single.end()) {
        return before + std::round((start - before) / periodMs) * periodMs;
    }
    return start - before < after->startMs - start ? before : after->startMs;
}

double PulseLight::shareAt(double startMs) const
{
    if (!single.empty()) {
        const double from = nearestStartMs(startMs + 0.5 * exposureMs);
        return periodMs / litMs * litPart(startMs, exposureMs, from, litMs);
    }
    const auto bins = static_cast<double>(share.size());
    const double at = phaseOf(startMs, periodMs) * bins - 0.5;
    const double base = std::floor(at);
    const double part = at - base;
    const auto count = static_cast<std::ptrdiff_t>(share.size());
    const auto wrap = [&](double index) {
        return static_cast<std::size_t>(
            ((static_cast<std::ptrdiff_t>(index) % count) + count) % count);
    };
    const double left = share[wrap(base)];
    const double right = share[wrap(base + 1.0)];
    if (!std::isfinite(left) || !std::isfinite(right)) {
        return std::isfinite(left) ? left : right;
    }
    return left + part * (right - left);
}

double PulseLight::nextLitMs(double timeMs) const
{
    const double nearest = nearestStartMs(timeMs + 0.5 * litMs);
    const double start
        = nearest + litMs >= timeMs ? nearest : nearestStartMs(nearest + periodMs + 0.5 * litMs);
    return std::max(timeMs, start);
}

std::optional<PulseLight> foldPulses(std::span<const float> light, std::span<const double> timeMs,
    double periodMs, double frameIntervalMs, double exposureMs)
{
    const double periodFrames = periodMs / frameIntervalMs;
    const Smoothed level = smoothed(light, periodFrames);
    const QuietFrames quiet = quietFrames(level);
    constexpr std::size_t fewestFrames = 40;
    if (quiet.bright.size() < fewestFrames || quiet.brightLevel <= 0.0) {
        return std::nullopt;
    }
    PulseLight pulses;
    pulses.periodMs = periodMs;
    const auto bins = std::clamp<std::size_t>(quiet.bright.size() / 12, 8, 96);
    pulses.share = foldedMedian(quiet.bright, timeMs, periodMs, bins,
        [&](std::size_t k) { return static_cast<double>(light[k]) / level.mean[k]; });
    const double depth = pulses.swing();
    if (depth < 2.0 * leastDepth || scatter(light, timeMs, level, quiet, pulses) > 0.15 * depth) {
        return std::nullopt;
    }
    pulses.floor = floorOf(light, timeMs, quiet, pulses);
    for (double& share : pulses.share) {
        share = (share * quiet.brightLevel - pulses.floor) / (quiet.brightLevel - pulses.floor);
    }
    const double high = largest(pulses.share);
    const auto dark
        = std::ranges::count_if(pulses.share, [&](double share) { return share < 0.15 * high; });
    const auto told
        = std::ranges::count_if(pulses.share, [](double share) { return std::isfinite(share); });
    constexpr double leastFrames = 2.9;
    // No panel flashes so slowly that its flicker is seen (common practice, no source): what looks
    // like it is a beat of faster pulses.
    constexpr double slowestFlashMs = 21.0;
    pulses.isResolved = periodFrames >= leastFrames
        && periodMs<slowestFlashMs&& static_cast<double>(dark)> 0.1 * static_cast<double>(told);
    if (pulses.isResolved) {
        // 11 strobed clips of an independent simulator left 0.004 and less, two whose fast pulses
        // beat with the camera 0.04 and 0.09.
        constexpr double mostLeft = 0.015;
        pulses.isResolved = timePulses(pulses, exposureMs) < mostLeft;
        pulses.phaseGapMs = widestPhaseGapMs(timeMs, periodMs);
    }
    return pulses;
}

std::optional<PulseLight> findPulses(std::span<const float> light, std::span<const double> timeMs,
    double frameIntervalMs, double exposureMs)
{
    const auto periodMs = pulseRhythmMs(light, timeMs, frameIntervalMs);
    if (!periodMs) {
        return std::nullopt;
    }
    auto pulses = foldPulses(light, timeMs, *periodMs, frameIntervalMs, exposureMs);
    constexpr double fewestFrames = 2.9;
    if (pulses || *periodMs < fewestFrames * frameIntervalMs) {
        return pulses;
    }
    // They may come in their own time.
    const PulseClock clock {*periodMs, possibleExposures(frameIntervalMs, exposureMs)};
    if (auto single = findSinglePulses(light, timeMs, clock)) {
        pulses = PulseLight {*periodMs, {}, single->floor, true, 0.0, single->litMs,
            std::move(single->pulses), single->exposureMs, false};
    }
    return pulses;
}

std::vector<float> withoutPulses(
    std::span<const float> light, std::span<const double> timeMs, const PulseLight& pulses)
{
    if (!pulses.single.empty()) {
        return heightsAsMeans(light, timeMs, pulses);
    }
    const double least
        = (pulses.isResolved ? darkShareResolved : darkShare) * largest(pulses.share);
    std::vector<float> mean(light.size(), std::numeric_limits<float>::quiet_NaN());
    for (std::size_t k = 0; k < light.size(); ++k) {
        const double share = pulses.shareAt(timeMs[k]);
        if (share >= least) {
            mean[k] = static_cast<float>(
                pulses.floor + (static_cast<double>(light[k]) - pulses.floor) / share);
        }
    }
    return mean;
}

} // namespace twinlamp::trace
