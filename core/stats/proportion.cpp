// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/proportion.h"

#include "core/base/contracts.h"
#include "core/stats/special_functions.h"

#include <cmath>

namespace twinlamp::stats {

namespace {

double quantileOf(double confidence) { return normalQuantile(1.0 - (1.0 - confidence) / 2.0); }

RealShare asShare(Count count)
{
    const auto trials = static_cast<double>(count.trials);
    return {static_cast<double>(count.hits) / trials, trials};
}

/// @param z  quantile of either side
ShareInterval wilsonOf(RealShare of, double z)
{
    const auto [share, n] = of;
    const double centre = share + z * z / (2.0 * n);
    const double reach = z * std::sqrt(share * (1.0 - share) / n + z * z / (4.0 * n * n));
    const double scale = 1.0 + z * z / n;
    // None and all are ends by themselves; rounding would leave a crumb beside them.
    return {share == 0.0 ? 0.0 : (centre - reach) / scale,
        share == 1.0 ? 1.0 : (centre + reach) / scale};
}

} // namespace

ShareInterval clopperPearson(Count count, double confidence)
{
    TL_EXPECTS(count.hits >= 0 && count.hits <= count.trials);
    TL_EXPECTS(confidence > 0.0 && confidence < 1.0);
    const double tail = (1.0 - confidence) / 2.0;
    const auto hits = static_cast<double>(count.hits);
    const auto misses = static_cast<double>(count.trials - count.hits);
    ShareInterval interval;
    if (count.hits > 0) {
        interval.low = betaQuantile(hits, misses + 1.0, tail);
    }
    if (count.hits < count.trials) {
        interval.high = betaQuantile(hits + 1.0, misses, 1.0 - tail);
    }
    return interval;
}

double largestMissedShare(std::int64_t trials, double confidence)
{
    TL_EXPECTS(trials >= 0 && confidence > 0.0 && confidence < 1.0);
    return trials == 0 ? 1.0 : -std::expm1(std::log1p(-confidence) / static_cast<double>(trials));
}

ShareInterval wilson(Count count, double confidence)
{
    TL_EXPECTS(count.hits >= 0 && count.hits <= count.trials);
    TL_EXPECTS(confidence > 0.0 && confidence < 1.0);
    return count.trials == 0 ? ShareInterval {} : wilsonOf(asShare(count), quantileOf(confidence));
}

ShareDifference newcombeOf(RealShare first, RealShare second, double quantile)
{
    const ShareInterval a = wilsonOf(first, quantile);
    const ShareInterval b = wilsonOf(second, quantile);
    const double estimate = first.share - second.share;
    return {estimate, estimate - std::hypot(first.share - a.low, b.high - second.share),
        estimate + std::hypot(a.high - first.share, second.share - b.low)};
}

ShareDifference newcombeDifference(Count first, Count second, double confidence)
{
    TL_EXPECTS(first.hits >= 0 && first.hits <= first.trials);
    TL_EXPECTS(second.hits >= 0 && second.hits <= second.trials);
    TL_EXPECTS(confidence > 0.0 && confidence < 1.0);
    if (first.trials == 0 || second.trials == 0) {
        return {};
    }
    return newcombeOf(asShare(first), asShare(second), quantileOf(confidence));
}

double quantileAtZero(RealShare first, RealShare second)
{
    const auto holdsZero = [first, second](double quantile) {
        const ShareDifference difference = newcombeOf(first, second, quantile);
        return difference.low <= 0.0 && difference.high >= 0.0;
    };
    if (first.share == second.share) {
        return 0.0;
    }
    // The interval grows with the quantile. By the logarithm: the end may lie anywhere.
    double below = 1e-6;
    double above = 1e6;
    constexpr int halvings = 60;
    for (int i = 0; i < halvings; ++i) {
        const double middle = std::sqrt(below * above);
        (holdsZero(middle) ? above : below) = middle;
    }
    return above;
}

double newcombePValue(Count first, Count second)
{
    return first.trials == 0 || second.trials == 0
        ? 1.0
        : normalBeyond(quantileAtZero(asShare(first), asShare(second)));
}

} // namespace twinlamp::stats
