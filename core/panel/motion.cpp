// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/panel/motion.h"

#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

namespace twinlamp::panel {

namespace {

constexpr double shortestMs = 3.0;
constexpr double longestMs = 45.0;
// More frames than this sharpen nothing that the figure needs.
constexpr std::size_t mostFrames = 20000;
// A rhythm has to stand out this far from what unrelated changes would give.
constexpr double leastCorrelation = 0.25;

bool isQuiet(const std::vector<bool>& quiet, std::size_t frame)
{
    return quiet.empty() || quiet[frame];
}

// Limits the changes of quiet frames and takes their mean off; the others count as none.
void limitAndCentre(std::vector<double>& change, const std::vector<bool>& quiet)
{
    std::vector<double> sorted;
    for (std::size_t k = 0; k < change.size(); ++k) {
        if (isQuiet(quiet, k + 1)) {
            sorted.push_back(change[k]);
        }
    }
    if (sorted.empty()) {
        std::ranges::fill(change, 0.0);
        return;
    }
    std::ranges::sort(sorted);
    const double limit = sorted[sorted.size() * 95 / 100];
    double mean = 0.0;
    for (const double value : sorted) {
        mean += std::min(value, limit) / static_cast<double>(sorted.size());
    }
    for (std::size_t k = 0; k < change.size(); ++k) {
        change[k] = isQuiet(quiet, k + 1) ? std::min(change[k], limit) - mean : 0.0;
    }
}

// Change of each band from frame to frame, limited so that presses do not drown the picture's own
// motion, mean removed.
std::vector<std::vector<double>> bandChanges(
    const CellTraces& cells, std::size_t frames, const std::vector<bool>& quiet)
{
    std::vector<std::vector<double>> bands;
    for (int row = 0; row < cells.rows; ++row) {
        std::vector<double> change(frames - 1, 0.0);
        for (std::size_t k = 1; k < frames; ++k) {
            double sum = 0.0;
            for (int column = 0; column < cells.columns; ++column) {
                const auto cell = static_cast<std::size_t>(row * cells.columns + column);
                const double difference = static_cast<double>(cells.at(k, cell))
                    - static_cast<double>(cells.at(k - 1, cell));
                sum += std::isfinite(difference) ? std::abs(difference) : 0.0;
            }
            change[k - 1] = sum;
        }
        limitAndCentre(change, quiet);
        bands.push_back(std::move(change));
    }
    return bands;
}

// A sweep reaches the bands one after another; what changes in all of them at once is the camera's
// or the codec's doing.
void removeCommonChange(std::vector<std::vector<double>>& bands)
{
    for (std::size_t k = 0; k < bands.front().size(); ++k) {
        double mean = 0.0;
        for (const auto& band : bands) {
            mean += band[k] / static_cast<double>(bands.size());
        }
        for (auto& band : bands) {
            band[k] -= mean;
        }
    }
}

std::vector<double> correlation(const std::vector<std::vector<double>>& bands, std::size_t lags)
{
    std::vector<double> sums(lags, 0.0);
    for (const auto& band : bands) {
        for (std::size_t lag = 0; lag < lags && lag < band.size(); ++lag) {
            double sum = 0.0;
            for (std::size_t k = lag; k < band.size(); ++k) {
                sum += band[k] * band[k - lag];
            }
            sums[lag] += sum / static_cast<double>(band.size() - lag);
        }
    }
    const double zero = sums.empty() || sums[0] <= 0.0 ? 1.0 : sums[0];
    for (double& value : sums) {
        value /= zero;
    }
    return sums;
}

// The same between quiet frames alone.
std::vector<double> quietCorrelation(
    const std::vector<std::vector<double>>& bands, const std::vector<bool>& quiet, std::size_t lags)
{
    std::vector<double> values(lags, 0.0);
    double zero = 0.0;
    for (std::size_t lag = 0; lag < lags; ++lag) {
        double sum = 0.0;
        double pairs = 0.0;
        for (std::size_t k = lag; k < bands.front().size(); ++k) {
            if (!quiet[k + 1] || !quiet[k + 1 - lag]) {
                continue;
            }
            pairs += 1.0;
            for (const auto& band : bands) {
                sum += band[k] * band[k - lag];
            }
        }
        const double mean = pairs > 0.0 ? sum / pairs : 0.0;
        zero = lag == 0 ? mean : zero;
        values[lag] = zero > 0.0 ? mean / zero : 0.0;
    }
    return values;
}

double peakNear(const std::vector<double>& values, std::size_t at)
{
    if (at == 0 || at + 1 >= values.size()) {
        return static_cast<double>(at);
    }
    const double left = values[at - 1];
    const double right = values[at + 1];
    const double bend = left - 2.0 * values[at] + right;
    return static_cast<double>(at) + (bend < 0.0 ? 0.5 * (left - right) / bend : 0.0);
}

std::size_t highestIn(const std::vector<double>& values, double from, double to)
{
    auto best = static_cast<std::size_t>(std::max(1.0, from));
    for (std::size_t i = best; i < values.size() && static_cast<double>(i) <= to; ++i) {
        if (values[i] > values[best]) {
            best = i;
        }
    }
    return best;
}

// First lag whose peak is nearly as high as any: its multiples are as high, its fractions are not.
std::optional<std::size_t> firstStrongLag(const std::vector<double>& values, double intervalMs)
{
    const auto from = static_cast<std::size_t>(std::max(2.0, shortestMs / intervalMs));
    const std::size_t to
        = std::min(values.size() - 1, static_cast<std::size_t>(longestMs / intervalMs));
    double highest = 0.0;
    for (std::size_t i = from; i < to; ++i) {
        highest = std::max(highest, values[i]);
    }
    if (highest < leastCorrelation) {
        return std::nullopt;
    }
    for (std::size_t i = from; i < to; ++i) {
        // Peaks between two frames show lower than they are: a third of their height may be
        // missing.
        if (values[i] > 0.6 * highest && values[i] >= values[i - 1] && values[i] >= values[i + 1]) {
            return i;
        }
    }
    return std::nullopt;
}

// Longer and longer multiples of the interval pin it down.
double refined(const std::vector<double>& values, double lag)
{
    double interval = lag;
    for (int multiple = 2; multiple * interval + 2.0 < static_cast<double>(values.size());
         multiple *= 2) {
        const double expected = multiple * interval;
        const std::size_t peak = highestIn(values, expected - 0.35 * lag, expected + 0.35 * lag);
        if (values[peak] < 0.5 * leastCorrelation) {
            break;
        }
        interval = peakNear(values, peak) / multiple;
    }
    return interval;
}

// How well the bands' changes, seen as waves of the rhythm, follow one another like a sweep: 1
// where each band lags behind its neighbour by the same time. Codecs have rhythms too, but all
// bands at once, or each its own.
double sweepCoherence(const std::vector<std::vector<double>>& bands, double intervalFrames)
{
    std::vector<std::complex<double>> waves;
    double all = 0.0;
    for (const auto& band : bands) {
        std::complex<double> wave = 0.0;
        for (std::size_t k = 0; k < band.size(); ++k) {
            const double angle = -2.0 * std::numbers::pi * static_cast<double>(k) / intervalFrames;
            wave += std::polar(band[k], angle);
        }
        waves.push_back(wave);
        all += std::abs(wave);
    }
    if (all <= 0.0) {
        return 0.0;
    }
    double best = 0.0;
    double turns = 0.0;
    constexpr int slopes = 64;
    for (int i = -slopes; i <= slopes; ++i) {
        // Turns over the whole panel: scan over interval, at most somewhat above 1.
        const double sweep = 1.3 * i / slopes;
        std::complex<double> sum = 0.0;
        for (std::size_t b = 0; b < waves.size(); ++b) {
            const double position = static_cast<double>(b) / static_cast<double>(waves.size());
            sum += waves[b] * std::polar(1.0, 2.0 * std::numbers::pi * sweep * position);
        }
        if (std::abs(sum) > best) {
            best = std::abs(sum);
            turns = sweep;
        }
    }
    constexpr double leastTurns = 0.1;
    return std::abs(turns) < leastTurns ? 0.0 : best / all;
}

// The same at the interval near a lag at which the bands have most of a wave.
double coherenceNear(const std::vector<std::vector<double>>& bands, double lag)
{
    constexpr double reachFrames = 0.6;
    const double step = 0.5 / static_cast<double>(bands.front().size());
    const double low = 1.0 / (lag + reachFrames);
    const auto steps = static_cast<int>((1.0 / (lag - reachFrames) - low) / step);
    double most = 0.0;
    double interval = lag;
    for (int i = 0; i <= steps; ++i) {
        const double perFrame = low + i * step;
        const auto turn = std::polar(1.0, -2.0 * std::numbers::pi * perFrame);
        double all = 0.0;
        for (const auto& band : bands) {
            std::complex<double> wave = 0.0;
            std::complex<double> phase = 1.0;
            for (const double change : band) {
                wave += change * phase;
                phase *= turn;
            }
            all += std::abs(wave);
        }
        if (all > most) {
            most = all;
            interval = 1.0 / perFrame;
        }
    }
    return sweepCoherence(bands, interval);
}

struct Held
{
    double share = 0.0;
    double longestMs = 0.0;
};

// Counts intervals of the rhythm in which no band changed.
Held heldFrames(const std::vector<std::vector<double>>& bands, const std::vector<bool>& quiet,
    double intervalFrames, double frameMs)
{
    std::vector<double> total(bands.front().size(), 0.0);
    for (const auto& band : bands) {
        for (std::size_t k = 0; k < band.size(); ++k) {
            total[k] += band[k];
        }
    }
    const double lowest = *std::ranges::min_element(total);
    std::vector<double> slots;
    const auto slotCount
        = static_cast<std::size_t>(static_cast<double>(total.size()) / intervalFrames);
    slots.reserve(slotCount);
    for (std::size_t slot = 0; slot < slotCount; ++slot) {
        const double at = static_cast<double>(slot) * intervalFrames;
        double sum = 0.0;
        bool whole = true;
        for (auto k = static_cast<std::size_t>(at);
             k < static_cast<std::size_t>(at + intervalFrames); ++k) {
            sum += total[k] - lowest;
            whole = whole && isQuiet(quiet, k + 1);
        }
        if (whole) {
            slots.push_back(sum);
        }
    }
    Held held;
    if (slots.size() < 4) {
        return held;
    }
    std::vector<double> sorted = slots;
    std::ranges::sort(sorted);
    const double usual = sorted[sorted.size() / 2];
    const double least = sorted.front();
    const double threshold = least + 0.3 * (usual - least);
    // Without a clear gap between quiet and usual nothing was held.
    if (least > 0.5 * usual) {
        return held;
    }
    std::size_t run = 0;
    std::size_t longest = 0;
    std::size_t count = 0;
    for (const double slot : slots) {
        run = slot < threshold ? run + 1 : 0;
        longest = std::max(longest, run);
        count += slot < threshold ? 1U : 0U;
    }
    held.share = static_cast<double>(count) / static_cast<double>(slots.size());
    held.longestMs = static_cast<double>(longest) * intervalFrames * frameMs;
    return held;
}

} // namespace

std::optional<MotionRhythm> motionRhythm(
    const CellTraces& cells, std::span<const double> startMs, const std::vector<bool>& quiet)
{
    const std::size_t frames = std::min(cells.frameCount(), mostFrames);
    if (frames < 60 || cells.cellCount() == 0) {
        return std::nullopt;
    }
    // Too little is left between presses to tell their rhythm from the picture's.
    constexpr double leastQuiet = 0.25;
    if (!quiet.empty()
        && static_cast<double>(std::ranges::count(quiet, true))
            < leastQuiet * static_cast<double>(quiet.size())) {
        return std::nullopt;
    }
    const double frameMs = (startMs[frames - 1] - startMs[0]) / static_cast<double>(frames - 1);
    const auto bands = bandChanges(cells, frames, quiet);
    // A second of lags refines the interval to a thousandth.
    const auto lags
        = static_cast<std::size_t>(std::min(0.4 * static_cast<double>(frames), 1000.0 / frameMs));
    if (static_cast<double>(lags) * frameMs < 2.0 * longestMs) {
        return std::nullopt;
    }
    auto swept = bands;
    removeCommonChange(swept);
    const std::vector<double> values = correlation(swept, lags);
    const auto lag = firstStrongLag(values, frameMs);
    // A rhythm goes on: its second beat is nearly as strong as its first.
    constexpr double secondBeatShare = 0.5;
    if (!lag
        || values[highestIn(
               values, 1.8 * static_cast<double>(*lag), 2.2 * static_cast<double>(*lag))]
            < secondBeatShare * values[*lag]) {
        return std::nullopt;
    }
    const double interval = refined(values, peakNear(values, *lag));
    constexpr double clearSweep = 0.95;
    if (sweepCoherence(bands, interval) < clearSweep) {
        return std::nullopt;
    }
    MotionRhythm rhythm;
    rhythm.newFrameMs = interval * frameMs;
    // The last multiple used is located to about a tenth of a frame.
    rhythm.standardMs = 0.1 * frameMs * interval / static_cast<double>(lags);
    const Held held = heldFrames(bands, quiet, interval, frameMs);
    rhythm.heldShare = held.share;
    rhythm.longestHeldMs = held.longestMs;
    return rhythm;
}

bool mayMove(
    const CellTraces& cells, std::span<const double> startMs, const std::vector<bool>& quiet)
{
    constexpr std::ptrdiff_t fewestQuiet = 120;
    if (cells.cellCount() == 0 || cells.frameCount() < 2
        || std::ranges::count(quiet, true) < fewestQuiet) {
        return true;
    }
    const double frameMs
        = (startMs.back() - startMs.front()) / static_cast<double>(startMs.size() - 1);
    auto bands = bandChanges(cells, cells.frameCount(), quiet);
    removeCommonChange(bands);
    const std::vector<double> values
        = quietCorrelation(bands, quiet, static_cast<std::size_t>(2.2 * longestMs / frameMs) + 2);
    // Half of what a rhythm needs, and a sweep that more noise may blur.
    constexpr double possibleCorrelation = 0.5 * leastCorrelation;
    constexpr double possibleSweep = 0.8;
    constexpr std::size_t framesOfSweep = 4000; // enough for it, in bearable time
    const auto last = static_cast<std::size_t>(longestMs / frameMs);
    for (auto lag = static_cast<std::size_t>(std::max(2.0, shortestMs / frameMs)); lag <= last;
         ++lag) {
        const auto at = static_cast<double>(lag);
        const bool isPeak = values[lag] >= values[lag - 1] && values[lag] >= values[lag + 1];
        if (isPeak && values[lag] > possibleCorrelation
            && values[highestIn(values, 1.8 * at, 2.2 * at)] > 0.4 * values[lag]
            && coherenceNear(
                   bandChanges(cells, std::min(cells.frameCount(), framesOfSweep), quiet), at)
                > possibleSweep) {
            return true;
        }
    }
    return false;
}

} // namespace twinlamp::panel
