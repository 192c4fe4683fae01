// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/interval.h"
#include "core/stats/trend/sawtooth.h"

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::stats {

/// What a link spread is computed from.
struct LinkSpreadInput
{
    /// Latencies in ms of one edge kind, one group a run. A run's own mean is taken out of it:
    /// between two power-ups the clocks keep one unknown offset.
    std::span<const std::vector<double>> runs;
    /// Frame interval T of the link camera, ms, > 0: the press falls anywhere in it.
    double linkFrameMs = 0.0;
    /// Mean of the squared standard uncertainties that vary from press to press, ms^2.
    double meanVarianceMs2 = 0.0;
};

struct LinkSpread
{
    double estimateMs = 0.0;
    /// 95 %; a lower end of 0 says: not told apart from zero. Both empty below
    /// `fewestForLinkSpreadInterval` presses.
    Interval interval;
    bool operator==(const LinkSpread&) const = default;
};

inline constexpr std::size_t fewestForLinkSpreadInterval = 8;

/// sqrt(max(0, s^2 - T^2/12 - u^2)): what remains of the standard deviation s within runs after the
/// sampling phase (uniform over T) and the measurement. The panel's own phase is part of what
/// remains.
///
/// The interval is that of s^2 for any shape of distribution, by D. G. Bonett (2006), Computational
/// Statistics & Data Analysis 50, 775-782 (from memory): log s^2 with a standard error from the
/// kurtosis about a trimmed mean; a chi-square interval would assume normal latencies, which the
/// uniform sampling phase rules out. T^2/12 and u^2 are then taken from both ends.
///
/// @return Nothing where no run has 2 presses.
/// @pre linkFrameMs > 0, meanVarianceMs2 >= 0
/// Tests: tests/core/stats/link_spread_test.cpp (coverage by simulation)
[[nodiscard]] std::optional<LinkSpread> linkSpread(const LinkSpreadInput& input);

/// The same where the latencies over press time show the sawtooth of the link camera's frame clock
/// (`clock.shows`): what remains about it, less the measurement; the sampling phase is known press
/// by press and need not be taken for uniform.
/// @pre meanVarianceMs2 >= 0, clock.residualsMs of some run
/// Tests: tests/core/stats/link_spread_test.cpp (coverage by simulation)
[[nodiscard]] std::optional<LinkSpread> linkSpreadAboutClock(
    const Sawtooth& clock, double meanVarianceMs2);

} // namespace twinlamp::stats
