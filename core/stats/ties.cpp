// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/ties.h"

#include <algorithm>
#include <numeric>

namespace twinlamp::stats {

std::vector<std::int64_t> tieSizes(std::span<const double> values)
{
    std::vector<double> sorted(values.begin(), values.end());
    std::ranges::sort(sorted);
    std::vector<std::int64_t> sizes;
    for (auto first = sorted.begin(); first != sorted.end();) {
        const auto last = std::upper_bound(first, sorted.end(), *first);
        if (last - first > 1) {
            sizes.push_back(last - first);
        }
        first = last;
    }
    return sizes;
}

double tieLoss(std::span<const double> values)
{
    double loss = 0.0;
    for (const std::int64_t tie : tieSizes(values)) {
        const auto t = static_cast<double>(tie);
        loss += t * t * t - t;
    }
    return loss;
}

std::vector<double> midRanks(std::span<const double> values)
{
    std::vector<std::size_t> order(values.size());
    std::iota(order.begin(), order.end(), std::size_t {0});
    std::ranges::sort(order, {}, [values](std::size_t i) { return values[i]; });
    std::vector<double> ranks(values.size());
    for (std::size_t first = 0; first < order.size();) {
        std::size_t last = first + 1;
        while (last < order.size() && values[order[last]] == values[order[first]]) {
            ++last;
        }
        const double shared = static_cast<double>(first + last + 1) / 2.0;
        for (std::size_t i = first; i < last; ++i) {
            ranks[order[i]] = shared;
        }
        first = last;
    }
    return ranks;
}

} // namespace twinlamp::stats
