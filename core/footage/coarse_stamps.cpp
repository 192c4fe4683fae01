// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/coarse_stamps.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <utility>

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
    std::int64_t outside = 0; ///< stamps that the band does not hold

    double excess = 0.0; ///< by how much, in all; grid lines

    [[nodiscard]] std::int64_t cost() const { return lost + outside; }

    [[nodiscard]] bool isBetterThan(const Fit& other) const
    {
        return cost() != other.cost() ? cost() < other.cost() : excess < other.excess;
    }
};

struct RoughInterval
{
    double value = 1.0;
    double reach = 0.0; ///< the interval lies this close, unless most spans hold a gap
};

/// Interval from advances over many frames. Without gaps an advance takes two neighbouring values.
RoughInterval roughInterval(Grid grid)
{
    constexpr std::size_t longest = 256;
    constexpr double enough = 0.6; // share of spans without a gap
    constexpr double reachLines = 1.5; // rounding of both ends, and some spans with a gap
    RoughInterval best;
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
                best = {mean / static_cast<double>(lag), reachLines / static_cast<double>(lag)};
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

/// Stamps held against a line: one above the band is a gap.
Fit holdAgainst(Grid grid, const Line& line)
{
    Fit fit;
    const double top = line.base
        + (line.interval >= 1.0 ? (1.0 + line.interval) / 2.0 : 1.0 + line.interval / 2.0);
    constexpr double slack = 0.1;
    for (std::size_t k = 0; k < grid.size(); ++k) {
        const double alone = static_cast<double>(grid[k]) - line.interval * static_cast<double>(k);
        double off = alone - line.interval * static_cast<double>(fit.lost);
        std::int64_t here = 0;
        while (k > 0 && off >= top) {
            ++here;
            off -= line.interval;
        }
        if (here > 0) {
            fit.gaps.push_back({{static_cast<std::int64_t>(k)}, here});
            fit.lost += here;
        }
        const bool inside = off >= line.base - slack && off <= line.base + 1.0 + slack;
        fit.outside += inside ? 0 : 1;
        fit.excess += std::max({0.0, line.base - off, off - line.base - 1.0});
    }
    return fit;
}

/// Best of some places of the band's lower edge, spread evenly over [from, to).
std::pair<Fit, double> bestOf(Grid grid, double interval, double from, double to, int places)
{
    std::pair<Fit, double> best;
    for (int i = 0; i < places; ++i) {
        const double base = from + (to - from) * (i + 0.5) / places;
        Fit fit = holdAgainst(grid, {interval, base});
        if (i == 0 || fit.isBetterThan(best.first)) {
            best = {std::move(fit), base};
        }
    }
    return best;
}

/// Best place of the band for a known interval. Frame 0 lies inside the band: its lower edge is at
/// most 0 and more than -1.
Fit fitWith(Grid grid, double interval, int places)
{
    return bestOf(grid, interval, -1.0, 0.0, places).first;
}

/// The same to a thousandth of a grid line: at 959.04 frames a second in milliseconds, a lost frame
/// lies a fiftieth beyond the band.
Fit fitFinely(Grid grid, double interval)
{
    constexpr int places = 16;
    constexpr int rounds = 3;
    double middle = -0.5;
    double reach = 0.5;
    Fit best;
    for (int round = 0; round < rounds; ++round) {
        auto [fit, base] = bestOf(grid, interval, middle - reach, middle + reach, places);
        if (round == 0 || fit.isBetterThan(best)) {
            best = std::move(fit);
            middle = base;
        }
        reach *= 2.0 / places;
    }
    return best;
}

/// Interval and band from the stamps alone: searched over the first stretch, then sharpened over
/// growing stretches up to the whole.
Fit fitFree(Grid grid)
{
    constexpr std::size_t firstStretch = 1500;
    constexpr std::size_t growth = 4;
    constexpr double stepOverStretch = 0.25; // of a grid line
    constexpr int roughPlaces = 12;
    std::size_t length = std::min(grid.size(), firstStretch);
    const RoughInterval rough = roughInterval(grid.first(length));
    const double step = stepOverStretch / static_cast<double>(length);
    const int steps = static_cast<int>(rough.reach / step) + 1;
    double interval = rough.value;
    Fit fit = fitWith(grid.first(length), rough.value, roughPlaces);
    for (int i = -steps; i <= steps; ++i) {
        const double tried = rough.value + step * i;
        Fit next = fitWith(grid.first(length), tried, roughPlaces);
        if (next.isBetterThan(fit)) {
            fit = std::move(next);
            interval = tried;
        }
    }
    while (true) {
        const Grid stretch = grid.first(length);
        const auto numbers = numbersOf(length, fit.gaps);
        Fit sharper = fitFinely(stretch, slopeOf(stretch, numbers));
        if (!fit.isBetterThan(sharper)) {
            interval = slopeOf(stretch, numbers);
            fit = std::move(sharper);
        }
        if (length == grid.size()) {
            return fit;
        }
        length = std::min(grid.size(), growth * length);
        fit = fitFinely(grid.first(length), interval);
    }
}

} // namespace

std::optional<std::vector<StampGap>> coarseGaps(
    std::span<const std::int64_t> grid, std::optional<double> expectedInterval)
{
    const RoughInterval rough = roughInterval(grid);
    const Fit own = fitFree(grid);
    // Grids finer than two thirds of an interval have another way to be read (stamp_clock.cpp).
    constexpr double onlyWayBelow = 1.5;
    constexpr double mostOutside = 0.01;
    if (rough.value >= onlyWayBelow
        && static_cast<double>(own.outside) > mostOutside * static_cast<double>(grid.size())) {
        return std::nullopt;
    }
    // A few gaps can also be read as rounding of a slightly slower clock, and the other way round.
    // A rate that is expected or that ticks with the grid is preferred, unless it needs many more
    // gaps than the stamps' own line: then it is the rate that is off.
    const auto explains = [&own](const Fit& fit) {
        constexpr std::int64_t fewMore = 2;
        return fit.cost() <= own.cost() + own.cost() / 2 + fewMore;
    };
    constexpr double realTimeShare = 0.02;
    if (expectedInterval
        && std::abs(*expectedInterval - rough.value) < rough.reach + realTimeShare * rough.value) {
        if (Fit expected = fitFinely(grid, *expectedInterval); explains(expected)) {
            return std::move(expected.gaps);
        }
    }
    Fit withGrid = fitFinely(grid, 1.0);
    return rough.value < onlyWayBelow && explains(withGrid) ? withGrid.gaps : own.gaps;
}

} // namespace twinlamp::footage
