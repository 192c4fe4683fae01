// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/rank_distribution.h"

#include "core/base/contracts.h"
#include "core/stats/compare/rank_shift.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace twinlamp::stats {

std::vector<double> rankSumChances(std::span<const std::int64_t> doubledRanks, std::size_t first)
{
    TL_EXPECTS(first <= doubledRanks.size());
    const std::int64_t total
        = std::accumulate(doubledRanks.begin(), doubledRanks.end(), std::int64_t {0});
    const auto sums = static_cast<std::size_t>(total) + 1;
    // ways[k][s]: to choose k of the ranks seen so far with sum s. 60 values have 1e17 ways, which
    // a double holds to 1 part in 1e16.
    std::vector<std::vector<double>> ways(first + 1, std::vector<double>(sums, 0.0));
    ways[0][0] = 1.0;
    std::size_t seen = 0;
    std::size_t reach = 0;
    for (const std::int64_t rank : doubledRanks) {
        TL_EXPECTS(rank > 0);
        const auto step = static_cast<std::size_t>(rank);
        ++seen;
        reach += step;
        for (std::size_t k = std::min(seen, first); k > 0; --k) {
            for (std::size_t sum = reach; sum >= step; --sum) {
                ways[k][sum] += ways[k - 1][sum - step];
            }
        }
    }
    std::vector<double> chances = std::move(ways[first]);
    const double all = std::accumulate(chances.begin(), chances.end(), 0.0);
    for (double& chance : chances) {
        chance /= all;
    }
    return chances;
}

std::int64_t shiftRank(std::size_t first, std::size_t second, double tail)
{
    TL_EXPECTS(first > 0 && second > 0 && tail > 0.0 && tail < 0.5);
    if (first + second > mostForExactRanks) {
        const double pairs = static_cast<double>(first) * static_cast<double>(second);
        const double sd = std::sqrt(pairs * static_cast<double>(first + second + 1) / 12.0);
        // P(U <= k - 1) with continuity correction: (k - 1/2 - pairs / 2) / sd.
        const double rank = std::floor(pairs / 2.0 + normalQuantile(tail) * sd + 0.5);
        return std::max<std::int64_t>(0, static_cast<std::int64_t>(rank));
    }
    std::vector<std::int64_t> ranks(first + second);
    for (std::size_t i = 0; i < ranks.size(); ++i) {
        ranks[i] = static_cast<std::int64_t>(2 * (i + 1));
    }
    const std::vector<double> chances = rankSumChances(ranks, first);
    // U is the rank sum less its smallest value, first (first + 1) / 2.
    const std::size_t smallest = first * (first + 1);
    double below = 0.0;
    std::int64_t rank = 0;
    // A hair of tolerance: exact ties with the tail are lost to rounding otherwise.
    constexpr double hair = 1e-12;
    while (below + chances[smallest + 2 * static_cast<std::size_t>(rank)] <= tail + hair) {
        below += chances[smallest + 2 * static_cast<std::size_t>(rank)];
        ++rank;
    }
    return rank;
}

} // namespace twinlamp::stats
