// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/proportion.h"

#include "core/base/contracts.h"
#include "core/stats/special_functions.h"

#include <cmath>

namespace twinlamp::stats {

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
    if (count.trials == 0) {
        return {};
    }
    const auto n = static_cast<double>(count.trials);
    const double share = static_cast<double>(count.hits) / n;
    const double z = normalQuantile(1.0 - (1.0 - confidence) / 2.0);
    const double centre = share + z * z / (2.0 * n);
    const double reach = z * std::sqrt(share * (1.0 - share) / n + z * z / (4.0 * n * n));
    const double scale = 1.0 + z * z / n;
    // None and all are ends by themselves; rounding would leave a crumb beside them.
    return {count.hits == 0 ? 0.0 : (centre - reach) / scale,
        count.hits == count.trials ? 1.0 : (centre + reach) / scale};
}

ShareDifference newcombeDifference(Count first, Count second, double confidence)
{
    const ShareInterval a = wilson(first, confidence);
    const ShareInterval b = wilson(second, confidence);
    if (first.trials == 0 || second.trials == 0) {
        return {};
    }
    const auto shareOf = [](Count count) {
        return static_cast<double>(count.hits) / static_cast<double>(count.trials);
    };
    const double shareA = shareOf(first);
    const double shareB = shareOf(second);
    const double estimate = shareA - shareB;
    return {estimate, estimate - std::hypot(shareA - a.low, b.high - shareB),
        estimate + std::hypot(a.high - shareA, shareB - b.low)};
}

double newcombePValue(Count first, Count second)
{
    const auto leavesOutZero = [first, second](double error) {
        const ShareDifference difference = newcombeDifference(first, second, 1.0 - error);
        return difference.low > 0.0 || difference.high < 0.0;
    };
    // The interval shrinks as the error grows. Below the smallest error all p-values are as good.
    double below = 1e-15;
    double above = 1.0 - 1e-12;
    if (leavesOutZero(below)) {
        return below;
    }
    if (!leavesOutZero(above)) {
        return 1.0;
    }
    constexpr int halvings = 60;
    for (int i = 0; i < halvings; ++i) {
        // By the logarithm: small p-values are wanted as exactly as large ones.
        const double middle = std::sqrt(below * above);
        (leavesOutZero(middle) ? above : below) = middle;
    }
    return above;
}

} // namespace twinlamp::stats
