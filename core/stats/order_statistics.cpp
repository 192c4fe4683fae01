// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/order_statistics.h"

#include "core/base/contracts.h"
#include "core/stats/special_functions.h"

namespace twinlamp::stats {

namespace {

/// Smallest value in [first, last) for which `holds` is true, `last` where none is; `holds` turns
/// from false to true once.
template<typename Predicate>
std::int64_t firstThat(std::int64_t first, std::int64_t last, Predicate holds)
{
    while (first < last) {
        const std::int64_t middle = first + (last - first) / 2;
        if (holds(middle)) {
            last = middle;
        } else {
            first = middle + 1;
        }
    }
    return first;
}

std::optional<double> valueAtRank(const OrderedSample& sample, std::optional<std::int64_t> rank)
{
    if (!rank || *rank > static_cast<std::int64_t>(sample.sorted.size())) {
        return std::nullopt;
    }
    return sample.sorted[static_cast<std::size_t>(*rank - 1)];
}

} // namespace

OrderRanks orderStatisticRanks(std::int64_t count, double share, double confidence)
{
    TL_EXPECTS(count >= 0 && share > 0.0 && share < 1.0 && confidence > 0.0 && confidence < 1.0);
    const double tail = (1.0 - confidence) / 2.0;
    const auto atMost = [&](std::int64_t k) { return binomialAtMost(k, count, share); };
    const std::int64_t end = count + 1;
    const std::int64_t firstTooLarge
        = firstThat(1, end, [&](std::int64_t l) { return atMost(l - 1) > tail; });
    const std::int64_t upper
        = firstThat(1, end, [&](std::int64_t u) { return 1.0 - atMost(u - 1) <= tail; });
    OrderRanks ranks;
    if (firstTooLarge > 1) {
        ranks.lower = firstTooLarge - 1;
    }
    if (upper < end) {
        ranks.upper = upper;
    }
    return ranks;
}

double coverageOf(const OrderRanks& ranks, std::int64_t count, double share)
{
    const double below = ranks.lower ? binomialAtMost(*ranks.lower - 1, count, share) : 0.0;
    const double upTo = ranks.upper ? binomialAtMost(*ranks.upper - 1, count, share) : 1.0;
    return upTo - below;
}

Interval quantileInterval(const OrderedSample& sample, double share, double confidence)
{
    const OrderRanks ranks = orderStatisticRanks(sample.count(), share, confidence);
    return {valueAtRank(sample, ranks.lower), valueAtRank(sample, ranks.upper)};
}

} // namespace twinlamp::stats
