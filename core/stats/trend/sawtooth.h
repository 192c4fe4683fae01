// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::stats {

/// Presses of one run and one edge kind that have a latency.
struct TimedLatencies
{
    std::vector<double> atMs; ///< onset of the reference lamp, ms of real time
    std::vector<double> latencyMs; ///< as many
};

struct SawtoothSearch
{
    double shortestPeriodMs = 5.0; ///< > 0
    double longestPeriodMs = 50.0; ///< larger than the shortest
    /// Frame rate that somebody told: only periods within 0.5 % of it are looked at.
    std::optional<double> toldRateHz;
    /// Rate of the measuring camera: a sawtooth within 1 % of it is the camera's own grid, and is
    /// passed over.
    std::optional<double> captureRateHz;
};

/// Where one run sits on the frame clock.
struct SawtoothRun
{
    double answerPhaseMs = 0.0; ///< answers fall on this + k * period; in [0, period)
    double shortestMs = 0.0; ///< lower end of the sawtooth; its upper end is one period higher
    bool operator==(const SawtoothRun&) const = default;
};

/// The frame clock that latencies over press time show. A press waits for the next frame, so its
/// latency falls by one ms a ms and jumps up by one period where a frame was just missed; press
/// time plus latency falls on the grid of the clock.
struct Sawtooth
{
    double periodMs = 0.0;
    double periodSdMs = 0.0; ///< standard uncertainty of the period
    std::vector<SawtoothRun> runs; ///< one each, in the order given
    /// Of each run's presses about the sawtooth. A press as close to the jump as the phase is
    /// uncertain counts to the side that fits it: catching a frame or missing it is no spread.
    std::vector<std::vector<double>> residualsMs;
    /// Standard deviation about the fitted sawtooth, presses at the jump as they come, and about
    /// each run's mean latency.
    double residualSdMs = 0.0;
    double latencySdMs = 0.0;
    double coherence = 0.0; ///< 0 to 1: how close answers stay to the grid
    /// Bound on the chance that latencies without any clock show one as clear as this somewhere in
    /// the range searched.
    double falseAlarm = 1.0;
    /// falseAlarm <= sawtoothFalseAlarm and a residual of no more than sawtoothGain of the
    /// latencies' deviation.
    bool shows = false;
};

inline constexpr double sawtoothFalseAlarm = 0.01;
inline constexpr double sawtoothGain = 0.8;
/// Presses of all runs, less 2 a run, have to be as many as this.
inline constexpr std::size_t fewestForSawtooth = 6;

/// Finds the period whose grid the answers keep to, and fits the sawtooth. The period is common to
/// all runs; each run has a phase and a lower end of its own.
///
/// Rayleigh power over a grid of frequencies five times finer than the longest run resolves; its
/// sum over R runs is half a chi-square variable of 2 R degrees of freedom where there is no clock,
/// and the false alarm is bounded by the number of frequencies looked at. Among the clearest peaks
/// the one with the smallest residual wins (answers keep to the panel's grid as well as to the
/// camera's); where none is clear enough to show, the clearest is given. Presses driven in step
/// with the frames leave no gain, and do not show.
///
/// @return Nothing with too few presses, or where the range searched times the longest run would
///         take more than 2 million frequencies: tell the frame rate then.
/// @pre as many times as latencies in each run; a valid range
/// Cost:   presses times frequencies.
/// Source: Lord Rayleigh's test of a uniform phase, K. V. Mardia, Statistics of Directional Data
///         (1972) (from memory).
/// Tests:  tests/core/stats/trend/sawtooth_test.cpp
[[nodiscard]] std::optional<Sawtooth> sawtooth(
    std::span<const TimedLatencies> runs, const SawtoothSearch& search = {});

} // namespace twinlamp::stats
