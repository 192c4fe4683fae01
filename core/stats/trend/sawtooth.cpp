// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/trend/sawtooth.h"

#include "core/base/contracts.h"
#include "core/stats/moments.h"
#include "core/stats/quantile.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <numeric>
#include <utility>

namespace twinlamp::stats {

namespace {

using Phasor = std::complex<double>;

constexpr double finerThanResolution = 5.0;
constexpr std::size_t mostFrequencies = 2'000'000;
constexpr std::size_t peaksTried = 8;

double remainderUp(double value, double period)
{
    const double rest = value - period * std::floor(value / period);
    return rest < period ? rest : 0.0;
}

/// Instants of the answers of one run, from its first press on (large times cost digits).
struct RunAnswers
{
    std::vector<double> atMs;
    std::vector<double> latencyMs;
    std::vector<double> answerMs;
    double originMs = 0.0;
};

std::vector<RunAnswers> answersOf(std::span<const TimedLatencies> runs)
{
    std::vector<RunAnswers> all;
    for (const TimedLatencies& run : runs) {
        TL_EXPECTS(run.atMs.size() == run.latencyMs.size());
        RunAnswers answers;
        answers.originMs = run.atMs.empty() ? 0.0 : *std::ranges::min_element(run.atMs);
        answers.latencyMs = run.latencyMs;
        for (std::size_t i = 0; i < run.atMs.size(); ++i) {
            answers.atMs.push_back(run.atMs[i] - answers.originMs);
            answers.answerMs.push_back(answers.atMs.back() + run.latencyMs[i]);
        }
        all.push_back(std::move(answers));
    }
    return all;
}

/// Frequencies first + k * step, per ms.
struct FrequencyGrid
{
    double first = 0.0;
    double step = 0.0;
    std::size_t count = 0;

    [[nodiscard]] double at(std::size_t k) const { return first + step * static_cast<double>(k); }
};

FrequencyGrid gridFor(std::span<const RunAnswers> runs, const SawtoothSearch& search)
{
    double span = search.longestPeriodMs;
    for (const RunAnswers& run : runs) {
        if (!run.answerMs.empty()) {
            span = std::max(span, *std::ranges::max_element(run.answerMs));
        }
    }
    FrequencyGrid grid {1.0 / search.longestPeriodMs, 1.0 / (finerThanResolution * span), 0};
    double last = 1.0 / search.shortestPeriodMs;
    if (search.toldRateHz) {
        constexpr double around = 0.005;
        grid.first = *search.toldRateHz / 1000.0 * (1.0 - around);
        last = *search.toldRateHz / 1000.0 * (1.0 + around);
    }
    grid.count = static_cast<std::size_t>((last - grid.first) / grid.step) + 1;
    return grid;
}

double powerAt(std::span<const RunAnswers> runs, double frequency)
{
    double power = 0.0;
    for (const RunAnswers& run : runs) {
        Phasor sum;
        for (const double answer : run.answerMs) {
            sum += std::polar(1.0, 2.0 * std::numbers::pi * frequency * answer);
        }
        power += run.answerMs.empty() ? 0.0
                                      : std::norm(sum) / static_cast<double>(run.answerMs.size());
    }
    return power;
}

/// Phasor of one answer, and its turn from one frequency to the next. Multiplied out by hand: the
/// operator of std::complex guards against infinities that cannot occur here.
struct TurningPhasor
{
    double real = 1.0;
    double imaginary = 0.0;
    double turnReal = 1.0;
    double turnImaginary = 0.0;

    void turn()
    {
        const double turned = real * turnReal - imaginary * turnImaginary;
        imaginary = real * turnImaginary + imaginary * turnReal;
        real = turned;
    }
};

/// Adds the power of one run to that of the others.
void addPowers(const RunAnswers& run, const FrequencyGrid& grid, std::vector<double>& powers)
{
    if (run.answerMs.empty()) {
        return;
    }
    constexpr std::size_t freshEvery = 512; // rounding errors of the turns stay below 1e-13
    constexpr double circle = 2.0 * std::numbers::pi;
    std::vector<TurningPhasor> phasors;
    for (const double answer : run.answerMs) {
        const double angle = circle * grid.step * answer;
        phasors.push_back({1.0, 0.0, std::cos(angle), std::sin(angle)});
    }
    const auto presses = static_cast<double>(phasors.size());
    for (std::size_t k = 0; k < grid.count; ++k) {
        Phasor sum;
        for (std::size_t i = 0; i < phasors.size(); ++i) {
            if (k % freshEvery == 0) {
                const double angle = circle * grid.at(k) * run.answerMs[i];
                phasors[i].real = std::cos(angle);
                phasors[i].imaginary = std::sin(angle);
            }
            sum += Phasor(phasors[i].real, phasors[i].imaginary);
            phasors[i].turn();
        }
        powers[k] += std::norm(sum) / presses;
    }
}

/// Grid places of the clearest local maxima, clearest first.
std::vector<std::size_t> clearestPeaks(const std::vector<double>& powers)
{
    std::vector<std::size_t> peaks;
    for (std::size_t k = 0; k < powers.size(); ++k) {
        const bool rises = k == 0 || powers[k] > powers[k - 1];
        const bool falls = k + 1 == powers.size() || powers[k] >= powers[k + 1];
        if (rises && falls) {
            peaks.push_back(k);
        }
    }
    const std::size_t kept = std::min(peaksTried, peaks.size());
    std::ranges::partial_sort(peaks, peaks.begin() + static_cast<std::ptrdiff_t>(kept),
        [&powers](std::size_t a, std::size_t b) { return powers[a] > powers[b]; });
    peaks.resize(kept);
    return peaks;
}

/// Golden-section search between the neighbours of a grid place.
double refinedFrequency(std::span<const RunAnswers> runs, double centre, double step)
{
    constexpr double golden = 0.6180339887498949;
    constexpr int steps = 40;
    double low = centre - step;
    double high = centre + step;
    double inner = high - golden * (high - low);
    double outer = low + golden * (high - low);
    double innerPower = powerAt(runs, inner);
    double outerPower = powerAt(runs, outer);
    for (int i = 0; i < steps; ++i) {
        if (innerPower > outerPower) {
            high = outer;
            outer = inner;
            outerPower = innerPower;
            inner = high - golden * (high - low);
            innerPower = powerAt(runs, inner);
        } else {
            low = inner;
            inner = outer;
            innerPower = outerPower;
            outer = low + golden * (high - low);
            outerPower = powerAt(runs, outer);
        }
    }
    return (low + high) / 2.0;
}

struct RunFit
{
    SawtoothRun run;
    double squares = 0.0; ///< of the residuals before presses at the jump are settled
    std::vector<double> residualsMs;
    double gridSquares = 0.0; ///< of the distances of the answers from the grid
    double timeSquares = 0.0; ///< of the answers' instants about their mean
    double coherenceSum = 0.0;
};

std::vector<double> residualsFor(
    const RunAnswers& run, const std::vector<double>& waits, double shortest, double period)
{
    std::vector<double> residuals;
    residuals.reserve(waits.size());
    for (std::size_t i = 0; i < waits.size(); ++i) {
        const double fitted = shortest + remainderUp(waits[i] - shortest, period);
        residuals.push_back(run.latencyMs[i] - fitted);
    }
    return residuals;
}

double squaresOf(const std::vector<double>& values)
{
    return std::inner_product(values.begin(), values.end(), values.begin(), 0.0);
}

// A press as close to the jump as the phase is uncertain may have caught the frame or missed it:
// the one that fits is taken.
void settleJumps(const std::vector<double>& waits, double shortest, double period,
    std::vector<double>& residuals)
{
    constexpr double toStandard = 1.4826; // of a normal distribution's median absolute deviation
    constexpr double deviations = 3.0;
    std::vector<double> away;
    away.reserve(residuals.size());
    for (const double residual : residuals) {
        away.push_back(std::abs(residual));
    }
    std::ranges::sort(away);
    const double standard = toStandard * quantileType7(away, 0.5).value_or(0.0);
    const double near = deviations * standard / std::sqrt(static_cast<double>(away.size()));
    for (std::size_t i = 0; i < residuals.size(); ++i) {
        const double place = remainderUp(waits[i] - shortest, period);
        const double other = place < near ? residuals[i] - period
            : place > period - near       ? residuals[i] + period
                                          : residuals[i];
        if (std::abs(other) < std::abs(residuals[i])) {
            residuals[i] = other;
        }
    }
}

RunFit fitRun(const RunAnswers& run, double period)
{
    RunFit fit;
    if (run.atMs.empty()) {
        return fit;
    }
    Phasor sum;
    for (const double answer : run.answerMs) {
        sum += std::polar(1.0, 2.0 * std::numbers::pi * answer / period);
    }
    fit.coherenceSum = std::abs(sum);
    const double phase = std::arg(sum) / (2.0 * std::numbers::pi) * period;
    std::vector<double> waits(run.atMs.size());
    for (std::size_t i = 0; i < waits.size(); ++i) {
        waits[i] = remainderUp(phase - run.atMs[i], period);
        const double off = std::remainder(run.answerMs[i] - phase, period);
        fit.gridSquares += off * off;
    }
    // The lower end only matters where it passes a wait: each wait is a candidate, in the two
    // periods about the median latency.
    std::vector<double> sorted = run.latencyMs;
    std::ranges::sort(sorted);
    const double lowest = quantileType7(sorted, 0.5).value_or(0.0) - 1.5 * period;
    double least = std::numeric_limits<double>::infinity();
    for (const double wait : waits) {
        const double first = lowest + remainderUp(wait - lowest, period);
        for (const double shortest : {first, first + period}) {
            std::vector<double> residuals = residualsFor(run, waits, shortest, period);
            const double squares = squaresOf(residuals);
            if (squares < least) {
                least = squares;
                fit.run.shortestMs = shortest;
                fit.residualsMs = std::move(residuals);
            }
        }
    }
    fit.squares = least;
    settleJumps(waits, fit.run.shortestMs, period, fit.residualsMs);
    fit.run.answerPhaseMs = remainderUp(phase + run.originMs, period);
    fit.timeSquares = sumOfSquaredDeviations(run.answerMs);
    return fit;
}

Sawtooth fitAll(std::span<const RunAnswers> runs, double period)
{
    Sawtooth fitted;
    fitted.periodMs = period;
    double squares = 0.0;
    double gridSquares = 0.0;
    double timeSquares = 0.0;
    double plainSquares = 0.0;
    double presses = 0.0;
    double coherence = 0.0;
    for (const RunAnswers& run : runs) {
        RunFit fit = fitRun(run, period);
        fitted.runs.push_back(fit.run);
        squares += fit.squares;
        fitted.residualsMs.push_back(std::move(fit.residualsMs));
        gridSquares += fit.gridSquares;
        timeSquares += fit.timeSquares;
        coherence += fit.coherenceSum;
        plainSquares += sumOfSquaredDeviations(run.latencyMs);
        presses += static_cast<double>(run.latencyMs.size());
    }
    const auto count = static_cast<double>(runs.size());
    const double degrees = presses - 2.0 * count - 1.0;
    fitted.residualSdMs = std::sqrt(squares / degrees);
    fitted.latencySdMs = std::sqrt(plainSquares / (presses - count));
    fitted.coherence = coherence / presses;
    fitted.periodSdMs = period * std::sqrt(gridSquares / degrees / timeSquares);
    return fitted;
}

bool isCameraGrid(double frequency, const SawtoothSearch& search)
{
    constexpr double near = 0.01;
    return search.captureRateHz
        && std::abs(1000.0 * frequency / *search.captureRateHz - 1.0) < near;
}

} // namespace

std::optional<Sawtooth> sawtooth(std::span<const TimedLatencies> runs, const SawtoothSearch& search)
{
    TL_EXPECTS(search.shortestPeriodMs > 0.0 && search.longestPeriodMs > search.shortestPeriodMs);
    const std::vector<RunAnswers> answers = answersOf(runs);
    std::size_t presses = 0;
    for (const RunAnswers& run : answers) {
        presses += run.atMs.size();
    }
    const FrequencyGrid grid = gridFor(answers, search);
    if (presses < fewestForSawtooth + 2 * answers.size() || grid.count > mostFrequencies) {
        return std::nullopt;
    }
    std::vector<double> powers(grid.count, 0.0);
    for (const RunAnswers& run : answers) {
        addPowers(run, grid, powers);
    }
    const auto falseAlarm = [&](double power) {
        const double one = chiSquareAbove(2.0 * static_cast<double>(answers.size()), 2.0 * power);
        return std::min(1.0, one * static_cast<double>(grid.count));
    };
    std::optional<Sawtooth> best;
    for (const std::size_t peak : clearestPeaks(powers)) {
        const double chance = falseAlarm(powers[peak]);
        if (best && chance > sawtoothFalseAlarm) {
            break; // neither this peak nor a weaker one can show
        }
        const double frequency = refinedFrequency(answers, grid.at(peak), grid.step);
        if (isCameraGrid(frequency, search)) {
            continue;
        }
        Sawtooth fitted = fitAll(answers, 1.0 / frequency);
        fitted.falseAlarm = chance;
        fitted.shows = fitted.falseAlarm <= sawtoothFalseAlarm
            && fitted.residualSdMs <= sawtoothGain * fitted.latencySdMs;
        const bool better = !best || (fitted.shows && !best->shows)
            || (fitted.shows == best->shows && fitted.residualSdMs < best->residualSdMs);
        if (better) {
            best = std::move(fitted);
        }
    }
    return best;
}

} // namespace twinlamp::stats
