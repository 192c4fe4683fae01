// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>

namespace twinlamp::measure {

/// Interval of a steady rhythm.
struct Interval
{
    double ms = 0.0;
    double standardMs = 0.0;
};

struct RhythmRange
{
    double shortestMs = 5.0;
    double longestMs = 45.0;
};

/// The longest interval on whose lattice all instants lie: new pictures come in a fixed rhythm, so
/// the starts of all answers fall on it, whatever moments the presses were made at.
///
/// Coherence R = |sum exp(2 pi i t / interval)| / n has to reach 0.85, and what unrelated instants
/// reach at the best of all intervals tried in one of a thousand clips, sqrt(ln(1000 tried) / n).
/// With fewer than 8 instants no rhythm is claimed.
///
/// Presses made in a rhythm of their own, by a driven lamp or a steady hand, would hand it on to
/// all that follows them: an interval to which `causesMs` keep by R = 0.7 or more is not taken.
///
/// @param causesMs  what set the instants off; none: nothing is known of it
/// Source: Rayleigh's test of a periodogram of events (from memory).
///
/// Tests: tests/core/measure/rhythm_test.cpp
[[nodiscard]] std::optional<Interval> commonRhythm(
    std::span<const double> instantsMs, RhythmRange range, std::span<const double> causesMs = {});

} // namespace twinlamp::measure
