// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/order_statistics.h"

#include "core/base/contracts.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>

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

/// P(X < successes): P(the value at that rank, counted from 1, is past the quantile).
double binomialBelow(std::int64_t successes, std::int64_t trials, double share)
{
    return binomialAtMost(successes - 1, trials, share);
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

std::optional<std::int64_t> upperLimitRank(std::int64_t count, double share, double confidence)
{
    TL_EXPECTS(count >= 0 && share > 0.0 && share < 1.0 && confidence > 0.0 && confidence < 1.0);
    const std::int64_t end = count + 1;
    // A rank of count + 1 would always do, and is no value.
    const std::int64_t rank = firstThat(
        1, end, [&](std::int64_t u) { return binomialBelow(u, count, share) >= confidence; });
    return rank < end ? std::optional(rank) : std::nullopt;
}

std::optional<std::int64_t> lowerLimitRank(std::int64_t count, double share, double confidence)
{
    TL_EXPECTS(count >= 0 && share > 0.0 && share < 1.0 && confidence > 0.0 && confidence < 1.0);
    const std::int64_t firstTooLarge = firstThat(1, count + 1,
        [&](std::int64_t l) { return 1.0 - binomialBelow(l, count, share) < confidence; });
    return firstTooLarge > 1 ? std::optional(firstTooLarge - 1) : std::nullopt;
}

std::int64_t fewestForInterval(double share, double confidence)
{
    TL_EXPECTS(share > 0.0 && share < 1.0 && confidence > 0.0 && confidence < 1.0);
    const double tail = (1.0 - confidence) / 2.0;
    // The larger of the two shares decides: all values on one side of the quantile. The logarithm
    // may be off by its last place, so the ranks have the last word.
    const double decisive = std::max(share, 1.0 - share);
    auto count = std::max<std::int64_t>(
        1, static_cast<std::int64_t>(std::log(tail) / std::log(decisive)) - 1);
    const auto bothEnds = [&] {
        const OrderRanks ranks = orderStatisticRanks(count, share, confidence);
        return ranks.lower.has_value() && ranks.upper.has_value();
    };
    while (!bothEnds()) {
        ++count;
    }
    return count;
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

QuantileFigure quantileFigure(const OrderedSample& sample, double share, double confidence)
{
    QuantileFigure figure {share, quantileType7(sample, share), {}, {}};
    figure.interval = quantileInterval(sample, share, confidence);
    const std::int64_t needed = fewestForInterval(share, confidence);
    if (sample.count() < needed) {
        figure.needs = needed;
    }
    return figure;
}

} // namespace twinlamp::stats
