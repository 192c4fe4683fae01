// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/panel/sweep_span.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::panel {

namespace {

// Share of its step at which a row counts as lit (the trade's 10 %).
constexpr double litShare = 0.1;

// A straight line through the bands' shares of the first picture.
struct ShareLine
{
    double atStart = 0.0;
    double slope = 0.0;
    int bands = 0;

    [[nodiscard]] std::optional<double> litAt() const
    {
        if (bands < 2 || std::abs(slope) < 1e-3) {
            return std::nullopt;
        }
        return (litShare - atStart) / slope;
    }
};

double centreOf(const BandStart& band, bool forward)
{
    return alongSweep(band, forward) + 0.5 * (band.high - band.low);
}

ShareLine shareLine(const PressBands& bands, bool forward)
{
    // Outside these a band is all dark or all lit, or as good as.
    constexpr double dark = 0.02;
    constexpr double full = 0.95;
    double n = 0.0, q = 0.0, s = 0.0, qq = 0.0, qs = 0.0;
    for (const BandStart& band : bands) {
        if (band.firstShare > dark && band.firstShare < full) {
            const double centre = centreOf(band, forward);
            n += 1.0;
            q += centre;
            s += band.firstShare;
            qq += centre * centre;
            qs += centre * band.firstShare;
        }
    }
    const double spread = n > 0.0 ? qq - q * q / n : 0.0;
    if (n < 2.0 || spread < 1e-9) {
        return {};
    }
    const double slope = (qs - q * s / n) / spread;
    return {(s - slope * q) / n, slope, static_cast<int>(n)};
}

// Where the two pictures meet along the sweep, and on which side the second one's rows are.
struct Meeting
{
    double at = 0.0;
    bool secondFirst = true; ///< the second picture's rows come first along the sweep
};

// Bands of both pictures: they meet between the last one of one and the first one of the other.
Meeting meetingBetween(
    const PressBands& bands, const PressSweep& press, bool forward, std::optional<double> litAt)
{
    double firstLow = 2.0, firstHigh = -1.0, secondLow = 2.0, secondHigh = -1.0;
    double firstSum = 0.0, secondSum = 0.0;
    double firsts = 0.0, seconds = 0.0;
    for (std::size_t b = 0; b < bands.size(); ++b) {
        const double centre = centreOf(bands[b], forward);
        if (press.second[b]) {
            secondLow = std::min(secondLow, centre);
            secondHigh = std::max(secondHigh, centre);
            secondSum += centre;
            seconds += 1.0;
        } else {
            firstLow = std::min(firstLow, centre);
            firstHigh = std::max(firstHigh, centre);
            firstSum += centre;
            firsts += 1.0;
        }
    }
    const bool secondFirst = secondSum / seconds < firstSum / firsts;
    const double from = secondFirst ? secondHigh : firstHigh;
    const double to = secondFirst ? firstLow : secondLow;
    const double middle = 0.5 * (from + to);
    return {
        litAt ? std::clamp(*litAt, std::min(from, to), std::max(from, to)) : middle, secondFirst};
}

// Whether a press in one sweep shows the second picture's: the first one left every band dark.
bool isSecondSweep(const PressBands& bands)
{
    std::size_t dark = 0;
    for (const BandStart& band : bands) {
        if (band.firstShare >= litShare && band.firstShare < 1.0) {
            return false;
        }
        dark += band.firstShare < litShare ? 1U : 0U;
    }
    return dark >= 2;
}

// All bands changed with one picture, but the rows at one end of the sweep may have changed with
// the other.
std::optional<Meeting> meetingAtAnEnd(const PressBands& bands, bool forward, const ShareLine& line)
{
    const auto litAt = line.litAt();
    if (!litAt) {
        return std::nullopt;
    }
    double low = 2.0, high = -1.0;
    for (const BandStart& band : bands) {
        low = std::min(low, centreOf(band, forward));
        high = std::max(high, centreOf(band, forward));
    }
    // Less than half of an end band's outer half is not told apart from none.
    const double least = 0.25 * (bands.front().high - bands.front().low);
    const bool secondFirst = line.slope > 0.0;
    const bool oddRowsComeFirst = secondFirst != isSecondSweep(bands);
    if (oddRowsComeFirst && *litAt > least) {
        return Meeting {std::min(*litAt, low), secondFirst};
    }
    if (!oddRowsComeFirst && *litAt < 1.0 - least) {
        return Meeting {std::max(*litAt, high), secondFirst};
    }
    return std::nullopt;
}

std::optional<Meeting> meetingOf(
    const PressBands& bands, const PressSweep& press, bool forward, const ShareLine& line)
{
    const auto seconds = std::ranges::count(press.second, true);
    if (seconds == 0) {
        return meetingAtAnEnd(bands, forward, line);
    }
    if (static_cast<std::size_t>(seconds) < bands.size()) {
        return meetingBetween(bands, press, forward, line.litAt());
    }
    return std::nullopt;
}

} // namespace

SecondRows secondRows(const std::vector<PressBands>& presses, const SweepFit& fit)
{
    int first = 0;
    int last = 0;
    for (std::size_t p = 0; p < presses.size(); ++p) {
        if (!fit.presses[p]) {
            continue;
        }
        const ShareLine line = shareLine(presses[p], fit.forward);
        constexpr int tellingBands = 3;
        if (line.bands >= tellingBands) {
            (line.slope > 0.0 ? first : last) += 1;
        }
        const auto seconds = std::ranges::count(fit.presses[p]->second, true);
        if (seconds > 0 && static_cast<std::size_t>(seconds) < presses[p].size()) {
            const Meeting meeting
                = meetingBetween(presses[p], *fit.presses[p], fit.forward, std::nullopt);
            (meeting.secondFirst ? first : last) += 1;
        }
    }
    return first == last ? SecondRows::Unknown
        : first > last   ? SecondRows::First
                         : SecondRows::Last;
}

SweepSpan sweepSpan(const PressBands& bands, const PressSweep& press, const SweepFit& fit,
    SecondRows side, std::optional<double> newFrameMs)
{
    const SweepSpan one {press.startMs, press.startMs + fit.scanMs};
    if (!newFrameMs) {
        return one;
    }
    const auto meeting = meetingOf(bands, press, fit.forward, shareLine(bands, fit.forward));
    const bool isOdd = meeting && side != SecondRows::Unknown
        && meeting->secondFirst != (side == SecondRows::First);
    if (!meeting || isOdd) {
        return one;
    }
    const bool noSeconds = std::ranges::count(press.second, true) == 0;
    // Of the first picture's sweep.
    const double start = press.startMs - (noSeconds && isSecondSweep(bands) ? *newFrameMs : 0.0);
    const double end = start + fit.scanMs;
    if (meeting->secondFirst) {
        const double at = start + fit.scanMs * meeting->at;
        return {at, std::max(end, at + *newFrameMs)};
    }
    return {start, end + *newFrameMs};
}

} // namespace twinlamp::panel
