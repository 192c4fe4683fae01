// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/coarse_stamps.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace twinlamp::footage {

namespace {

using Grid = std::span<const std::int64_t>;

/// Straight clock: frame n (lost ones counted) is stamped on the first grid line of
/// [base + interval * n, base + interval * n + 1).
struct Line
{
    double interval = 1.0;
    double base = 0.0;
};

struct Fit
{
    std::vector<StampGap> gaps;
    std::int64_t lost = 0;
    bool holds = false; ///< the stamps keep to the line's band
};

/// Interval from advances over many frames. Without gaps an advance takes two neighbouring values.
double roughInterval(Grid grid)
{
    constexpr std::size_t longest = 256;
    constexpr double enough = 0.6; // share of spans without a gap
    double best
        = static_cast<double>(grid.back() - grid.front()) / static_cast<double>(grid.size() - 1);
    for (std::size_t lag = std::min(longest, std::max<std::size_t>(1, grid.size() / 4)); lag >= 1;
         lag /= 2) {
        std::map<std::int64_t, double> counts;
        for (std::size_t k = 0; k + lag < grid.size(); ++k) {
            counts[grid[k + lag] - grid[k]] += 1.0;
        }
        double most = 0.0;
        for (const auto& [advance, count] : counts) {
            const auto next = counts.find(advance + 1);
            const double both = count + (next != counts.end() ? next->second : 0.0);
            if (both > most) {
                most = both;
                const double mean = static_cast<double>(advance) + (both - count) / both;
                best = mean / static_cast<double>(lag);
            }
        }
        if (most >= enough * static_cast<double>(grid.size() - lag)) {
            break;
        }
    }
    return best;
}

/// Running numbers of the frames, lost ones counted.
std::vector<double> numbersOf(std::size_t frames, const std::vector<StampGap>& gaps)
{
    std::vector<double> numbers(frames);
    std::size_t gap = 0;
    double lost = 0.0;
    for (std::size_t k = 0; k < frames; ++k) {
        if (gap < gaps.size() && gaps[gap].after.value == static_cast<std::int64_t>(k)) {
            lost += static_cast<double>(gaps[gap++].lost);
        }
        numbers[k] = static_cast<double>(k) + lost;
    }
    return numbers;
}

/// First look: at each long step, how far the lower edge of the saw tooth to the right lies above
/// that to the left. Steps too near an end to see a whole tooth are left for the second look.
std::vector<StampGap> gapsByLowerEdge(Grid grid, double interval)
{
    const double whole = std::round(interval);
    const double perFrame = std::abs(interval - whole);
    constexpr double shortest = 8.0;
    constexpr double longest = 256.0;
    const auto tooth
        = static_cast<std::size_t>(std::clamp(1.5 / std::max(perFrame, 1e-9), shortest, longest));
    std::vector<StampGap> gaps;
    double lost = 0.0;
    std::vector<double> offs(grid.size()); // left of k: with the gaps found so far taken out
    for (std::size_t k = 0; k < grid.size(); ++k) {
        offs[k] = static_cast<double>(grid[k]) - interval * static_cast<double>(k);
    }
    std::vector<double> mended = offs;
    for (std::size_t k = 1; k < grid.size(); ++k) {
        mended[k] = offs[k] - interval * lost;
        if (static_cast<double>(grid[k] - grid[k - 1]) < interval + 0.5 || k < 2
            || grid.size() - k < std::min(tooth, grid.size() / 3)) {
            continue;
        }
        const auto left = mended.begin() + static_cast<std::ptrdiff_t>(k > tooth ? k - tooth : 0);
        const auto here = static_cast<std::ptrdiff_t>(k);
        const auto end = static_cast<std::ptrdiff_t>(std::min(grid.size(), k + tooth));
        const double below = *std::min_element(left, mended.begin() + here);
        const double above
            = *std::min_element(offs.begin() + here, offs.begin() + end) - interval * lost;
        const auto jump = static_cast<std::int64_t>(std::llround((above - below) / interval));
        if (jump >= 1) {
            gaps.push_back({{here}, jump});
            lost += static_cast<double>(jump);
            mended[k] = offs[k] - interval * lost;
        }
    }
    return gaps;
}

double slopeOf(Grid grid, const std::vector<double>& numbers)
{
    const auto n = static_cast<double>(grid.size());
    double meanX = 0.0;
    double meanY = 0.0;
    for (std::size_t k = 0; k < grid.size(); ++k) {
        meanX += numbers[k] / n;
        meanY += static_cast<double>(grid[k]) / n;
    }
    double xx = 0.0;
    double xy = 0.0;
    for (std::size_t k = 0; k < grid.size(); ++k) {
        xx += (numbers[k] - meanX) * (numbers[k] - meanX);
        xy += (numbers[k] - meanX) * (static_cast<double>(grid[k]) - meanY);
    }
    return xy / xx;
}

/// Lower edge of the band: its middle is that of the offsets, the outermost hundredths left out.
double baseOf(Grid grid, const std::vector<double>& numbers, double interval)
{
    std::vector<double> offs(grid.size());
    for (std::size_t k = 0; k < grid.size(); ++k) {
        offs[k] = static_cast<double>(grid[k]) - interval * numbers[k];
    }
    std::ranges::sort(offs);
    const std::size_t trim = offs.size() / 100;
    return (offs[trim] + offs[offs.size() - 1 - trim]) / 2.0 - 0.5;
}

/// Second look: with the line known, a stamp above the band is a gap.
Fit holdAgainst(Grid grid, const Line& line)
{
    Fit fit;
    const double top = line.base
        + (line.interval >= 1.0 ? (1.0 + line.interval) / 2.0 : 1.0 + line.interval / 2.0);
    constexpr double slack = 0.35;
    std::size_t outside = 0;
    for (std::size_t k = 0; k < grid.size(); ++k) {
        const auto offAt = [&](std::int64_t lost) {
            return static_cast<double>(grid[k])
                - line.interval * static_cast<double>(static_cast<std::int64_t>(k) + lost);
        };
        std::int64_t here = 0;
        while (k > 0 && offAt(fit.lost + here) >= top) {
            ++here;
        }
        if (here > 0) {
            fit.gaps.push_back({{static_cast<std::int64_t>(k)}, here});
            fit.lost += here;
        }
        const double off = offAt(fit.lost);
        outside += off < line.base - slack || off > line.base + 1.0 + slack ? 1U : 0U;
    }
    constexpr double mostOutside = 0.03;
    fit.holds = static_cast<double>(outside) <= mostOutside * static_cast<double>(grid.size());
    return fit;
}

Fit fitFree(Grid grid)
{
    double interval = roughInterval(grid);
    Fit fit;
    fit.gaps = gapsByLowerEdge(grid, interval);
    constexpr int rounds = 3; // each look sharpens the line for the next
    for (int round = 0; round < rounds; ++round) {
        const auto numbers = numbersOf(grid.size(), fit.gaps);
        interval = slopeOf(grid, numbers);
        Fit next = holdAgainst(grid, {interval, baseOf(grid, numbers, interval)});
        if (!next.holds) {
            break;
        }
        fit = std::move(next);
    }
    return fit;
}

Fit fitWith(Grid grid, double interval)
{
    const auto numbers = numbersOf(grid.size(), gapsByLowerEdge(grid, interval));
    return holdAgainst(grid, {interval, baseOf(grid, numbers, interval)});
}

} // namespace

std::vector<StampGap> coarseGaps(
    std::span<const std::int64_t> grid, std::optional<double> expectedInterval)
{
    Fit free = fitFree(grid);
    if (!expectedInterval) {
        return free.gaps;
    }
    // A few gaps can also be read as rounding of a slightly slower clock. The capture rate decides,
    // unless it needs many more gaps than the stamps' own line: then it is the rate that is off.
    constexpr double realTimeShare = 0.02;
    constexpr std::int64_t fewMore = 2;
    const double own = roughInterval(grid);
    if (std::abs(*expectedInterval / own - 1.0) > realTimeShare) {
        return free.gaps;
    }
    Fit expected = fitWith(grid, *expectedInterval);
    return expected.holds && expected.lost <= free.lost + fewMore ? expected.gaps : free.gaps;
}

} // namespace twinlamp::footage
