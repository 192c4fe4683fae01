// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/trend/mann_kendall.h"

#include "core/base/contracts.h"
#include "core/stats/special_functions.h"
#include "core/stats/ties.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace twinlamp::stats {

namespace {

/// Sorts and counts the pairs that stood in falling order.
std::int64_t fallingPairs(std::span<double> values, std::vector<double>& room)
{
    if (values.size() < 2) {
        return 0;
    }
    const std::size_t half = values.size() / 2;
    const auto first = values.subspan(0, half);
    const auto second = values.subspan(half);
    std::int64_t falling = fallingPairs(first, room) + fallingPairs(second, room);
    room.clear();
    std::size_t i = 0;
    std::size_t j = 0;
    while (i < first.size() || j < second.size()) {
        if (j == second.size() || (i < first.size() && first[i] <= second[j])) {
            room.push_back(first[i++]);
        } else {
            falling += static_cast<std::int64_t>(first.size() - i);
            room.push_back(second[j++]);
        }
    }
    std::ranges::copy(room, values.begin());
    return falling;
}

double exactTwoSided(std::int64_t s, std::size_t count)
{
    // S is symmetric about 0: the small tail twice.
    return std::min(1.0, 2.0 * kendallAtMost(-std::abs(s), count));
}

} // namespace

double kendallAtMost(std::int64_t s, std::size_t count)
{
    TL_EXPECTS(count >= 1);
    const std::size_t pairs = count * (count - 1) / 2;
    // Falling pairs k of a random order: each new value adds 0 to (its place - 1) of them, all
    // equally likely. S = pairs - 2 k.
    std::vector<double> chance(pairs + 1, 0.0);
    chance[0] = 1.0;
    for (std::size_t place = 2; place <= count; ++place) {
        std::vector<double> next(pairs + 1, 0.0);
        double window = 0.0;
        for (std::size_t k = 0; k <= place * (place - 1) / 2; ++k) {
            window += chance[k];
            if (k >= place) {
                window -= chance[k - place];
            }
            next[k] = window / static_cast<double>(place);
        }
        chance = std::move(next);
    }
    // S <= s asks for many falling pairs; by symmetry as likely as few of them.
    const auto total = static_cast<std::int64_t>(pairs);
    double sum = 0.0;
    for (std::int64_t k = 0; k <= total; ++k) {
        if (2 * k - total <= s) {
            sum += chance[static_cast<std::size_t>(k)];
        }
    }
    return sum;
}

std::optional<MannKendall> mannKendall(std::span<const double> values)
{
    constexpr std::size_t fewest = 4;
    if (values.size() < fewest) {
        return std::nullopt;
    }
    const auto n = static_cast<double>(values.size());
    const auto term = [](double t) { return t * (t - 1.0) * (2.0 * t + 5.0); };
    double spread = term(n);
    const double pairs = n * (n - 1.0) / 2.0;
    double untied = pairs;
    const std::vector<std::int64_t> ties = tieSizes(values);
    for (const std::int64_t tie : ties) {
        const auto t = static_cast<double>(tie);
        spread -= term(t);
        untied -= t * (t - 1.0) / 2.0;
    }
    MannKendall test;
    std::vector<double> sorted(values.begin(), values.end());
    std::vector<double> room;
    test.s = std::llround(untied) - 2 * fallingPairs(sorted, room);
    test.variance = std::max(0.0, spread / 18.0);
    const auto s = static_cast<double>(test.s);
    if (test.s != 0) {
        test.z = (s - std::copysign(1.0, s)) / std::sqrt(test.variance);
        test.tau = s / std::sqrt(pairs * untied);
    }
    test.isExact = ties.empty() && values.size() <= mostForExactKendall;
    test.pValue = test.isExact ? exactTwoSided(test.s, values.size()) : normalBeyond(test.z);
    return test;
}

} // namespace twinlamp::stats
